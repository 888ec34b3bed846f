"""Rules on what must be known before anybody can say who sees what: visibility, places, tasks."""

from collections.abc import Iterator

from planner.geo.geodesy import distance_m
from planner.plan.crew import Contact, CrewMember, Role, Task
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import name_or_role
from planner.rules.bibliography import PART_107_CREW, PART_107_VISIBILITY, RECREATIONAL_SIGHT, sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver
from planner.rules.must_see import flyers_must_see, must_see_by_themselves
from planner.rules.words import over_ft
from planner.units import STATUTE_MILE_M

LEAST_VISIBILITY_M = 3 * STATUTE_MILE_M
# "Co-located" has no number in the law; farther apart people no longer talk without raising their voice.
_BESIDE_M = 10.0


def visibility_known(case: Case) -> Iterator[Finding]:
    """Yield an unknown without ground visibility, a stop below the least that Part 107 allows."""
    visibility_m = case.plan.visibility_m
    if visibility_m is None:
        yield Finding(
            rule="no-visibility",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="Visibility not set",
            message="How far the air lets anybody see decides whether the aircraft can be found at all.",
            citation=sight_rule(case.plan.purpose),
            remedy="say which ground visibility you count on, from the forecast; fly only if it is there",
        )
    elif visibility_m < LEAST_VISIBILITY_M - 0.5 and case.plan.purpose is Purpose.PART_107:
        yield Finding(
            rule="visibility-too-low",
            mark=Mark.STOP,
            basis=Basis.LAW,
            title="Visibility below 3 statute miles",
            message=f"The visibility counted on is {visibility_m / STATUTE_MILE_M:.1f} statute miles.",
            citation=PART_107_VISIBILITY,
            remedy=f"fly in clearer air{or_waiver(case, '107.51', '(c)')}",
        )


def flyers_placed(case: Case) -> Iterator[Finding]:
    """Yield an unknown for each who flies and stands nowhere: they must see, or be stood beside."""
    plan = case.plan
    citation = flyers_must_see(plan) or RECREATIONAL_SIGHT
    why = (
        "With goggles off they must be able to see the aircraft from where they stand."
        if flyers_must_see(plan)
        else "Whether the observer is co-located with whoever flies can't be told without it."
    )
    for member in unplaced_flyers(plan):
        name = name_or_role(member, plan.purpose)
        yield Finding(
            rule="flyer-not-placed",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title=f"Where {name} stands is not set",
            message=why,
            citation=citation,
            remedy="place them on the map",
        )


def unplaced_flyers(plan: Plan) -> tuple[CrewMember, ...]:
    """Return who flies, or must be able to see by themselves, and stands nowhere."""
    flyers = sorted(must_see_by_themselves(plan) or _flyers(plan), key=lambda member: member.key)
    return tuple(member for member in flyers if member.place is None)


def _flyers(plan: Plan) -> tuple[CrewMember, ...]:
    """Return who has the controls."""
    return plan.crew_in(Role.PERSON_AT_CONTROLS) or plan.crew_in(Role.REMOTE_PILOT)


def observer_beside(case: Case) -> Iterator[Finding]:
    """Yield an unknown where a recreational observer is said to stand beside whoever flies, and does not."""
    plan = case.plan
    if plan.purpose is not Purpose.RECREATIONAL:
        return
    flyers = _flyers(plan)
    for observer in sorted(plan.crew_in(Role.OBSERVER), key=lambda member: member.key):
        apart_m = _least_apart_m(observer, flyers)
        if observer.contact is Contact.BESIDE and apart_m is not None and apart_m > _BESIDE_M:
            yield Finding(
                rule="observer-stands-apart",
                mark=Mark.UNKNOWN,
                basis=Basis.LAW,
                title=f"{observer.called} stands apart from whoever flies",
                message=(
                    f"They are {over_ft(apart_m)} apart on the map; co-located and in direct talk is what "
                    "the law wants, without a number."
                ),
                citation=RECREATIONAL_SIGHT,
                remedy="place them side by side",
                place=observer.place,
            )


def _least_apart_m(observer: CrewMember, flyers: tuple[CrewMember, ...]) -> float | None:
    away_m = [
        distance_m(observer.place, flyer.place)
        for flyer in flyers
        if observer.place is not None and flyer.place is not None
    ]
    return min(away_m, default=None)


def tasks_shared(case: Case) -> Iterator[Finding]:
    """Yield what is open about who watches the aircraft and who scans the sky."""
    plan = case.plan
    if not plan.crew_in(Role.OBSERVER):
        return
    crew = [member for member in plan.crew if member.role is not Role.SPECTATOR]
    doing = {task: [member.key for member in crew if task in member.tasks] for task in Task}
    flying = {member.key for member in _flyers(plan)}
    citation = RECREATIONAL_SIGHT if plan.purpose is Purpose.RECREATIONAL else PART_107_CREW
    if nobody_watches(plan):
        yield _nobody_watches(citation)
    elif doing[Task.SCAN] and flying.issuperset(doing[Task.SCAN]):
        yield _nobody_scans(citation)
    elif not all(doing.values()):
        yield Finding(
            rule="tasks-not-shared",
            mark=Mark.ACT,
            basis=Basis.LAW,
            title="Who watches and who scans is not settled",
            message="Watching the aircraft and scanning the sky for others are two tasks; both must be done.",
            citation=citation,
            remedy="say for each of the crew whether they watch the aircraft or scan the sky",
        )
    elif set(doing[Task.WATCH]) == set(doing[Task.SCAN]):
        yield Finding(
            rule="both-tasks-at-once",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title="The same eyes watch and scan",
            message="Whoever scans the sky looks away from the aircraft; a second person makes it easier.",
        )


def nobody_watches(plan: Plan) -> bool:
    """Whether tasks are shared out, and the aircraft is left to whoever flies, or to nobody."""
    flying = {member.key for member in _flyers(plan)}
    watching = {
        member.key for member in plan.crew if member.role is not Role.SPECTATOR and Task.WATCH in member.tasks
    }
    return (
        bool(plan.crew_in(Role.OBSERVER))
        and any(member.tasks for member in plan.crew)
        and flying.issuperset(watching)
    )


def _nobody_watches(citation: str) -> Finding:
    return Finding(
        rule="nobody-watches",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title="Nobody watches the aircraft with their own eyes",
        message=(
            "Whoever flies through goggles can't watch it, and a spectator is no crew. Of the others nobody "
            "is said to."
        ),
        citation=citation,
        remedy="let an observer watch the aircraft",
    )


def _nobody_scans(citation: str) -> Finding:
    return Finding(
        rule="goggles-scan",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title="Nobody scans the sky with their own eyes",
        message=(
            "Whoever flies through goggles sees the aircraft's picture, not the sky about it. Of the others "
            "nobody is said to scan."
        ),
        citation=citation,
        remedy="let an observer scan the sky too, or bring a second one",
    )


RULES = (visibility_known, flyers_placed, observer_beside, tasks_shared)
