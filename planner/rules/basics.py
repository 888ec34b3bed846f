"""Rules on what the plan does not say yet, in the order in which it changes the verdict."""

from collections.abc import Iterator
from datetime import timedelta

from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import role_words
from planner.rules.bibliography import (
    OPERATING_RULES,
    RECREATIONAL_GUIDELINES,
    RECREATIONAL_SIGHT,
    height_rule,
    notices_rule,
    sight_rule,
)
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark

NOTICES_HOLD = timedelta(hours=24)
_LEAST_PATH_M = 1e-6


def _missing(rule: str, title: str, message: str, remedy: str, citation: str = OPERATING_RULES) -> Finding:
    return Finding(
        rule=rule,
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=title,
        message=message,
        citation=citation,
        remedy=remedy,
    )


def drawn(case: Case) -> Iterator[Finding]:
    """Yield an unknown while nothing is drawn; of a path that has begun, `path_of_one_point` tells."""
    if not case.plan.path and case.plan.area is None:
        yield _missing(
            "nothing-drawn", "Nothing drawn yet", "There is no path and no flying area to judge.",
            "draw a path or an area on the map", height_rule(case.plan.purpose),
        )  # fmt: skip


def path_of_one_point(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a path that has only begun: its one point is not judged."""
    if len(case.plan.path) == 1:
        yield Finding(
            rule="path-of-one-point",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="Path has only one point",
            message="A path needs two points at least; with one of them nothing of it can be judged.",
            citation=height_rule(case.plan.purpose),
            remedy="draw the path on, or delete its point",
            place=case.plan.path[0].place,
        )


def path_of_equal_points(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a path whose points all are one and the same: there is no way to judge."""
    track = case.track
    if track is not None and track.length_m < _LEAST_PATH_M:
        yield Finding(
            rule="path-without-length",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="Path has no length",
            message="All its points lie at one place and height, so there is no way that could be judged.",
            citation=height_rule(case.plan.purpose),
            remedy="draw the path on, or delete its points",
            place=case.plan.path[0].place,
        )


def purpose_given(case: Case) -> Iterator[Finding]:
    """Yield an unknown without purpose, or without the guidelines a recreational flight follows."""
    plan = case.plan
    if plan.purpose is None:
        yield _missing(
            "no-purpose", "Purpose not set",
            "Recreational flights and flights under Part 107 have different rules.",
            "say under which rules you fly",
        )  # fmt: skip
    elif plan.purpose is Purpose.RECREATIONAL and not plan.guidelines.strip():
        yield _missing(
            "no-guidelines", "Community guidelines not named",
            "A recreational flight follows a community organization's guidelines; the plan names none.",
            "name the guidelines you follow", RECREATIONAL_GUIDELINES,
        )  # fmt: skip


def window_given(case: Case) -> Iterator[Finding]:
    """Yield an unknown without a time window."""
    if case.plan.window is None:
        yield _missing(
            "no-window", "Time not set",
            "Airspace, notices and permissions hold for a time; the plan names none.",
            "set from when to when you fly",
        )  # fmt: skip


def launch_given(case: Case) -> Iterator[Finding]:
    """Yield an unknown without a launch point; without a landing point the launch point serves."""
    if case.plan.launch is None:
        yield _missing(
            "no-launch", "Launch point not set",
            "Heights in the goggles count from the launch point, and its ground must be settled.",
            "set the launch point on the map",
        )  # fmt: skip


def aircraft_given(case: Case) -> Iterator[Finding]:
    """Yield an unknown without an aircraft."""
    if case.plan.aircraft is None:
        yield _missing(
            "no-aircraft", "Aircraft not set", "Weight and size decide which rules apply.",
            "say which aircraft flies",
        )  # fmt: skip


def notices_checked(case: Case) -> Iterator[Finding]:
    """Yield an unknown unless notices were checked within 24 h before the window starts."""
    plan = case.plan
    citation = notices_rule(plan.purpose)
    if plan.notices is None:
        yield _missing(
            "notices-not-checked", "Notices not checked",
            "Temporary restrictions are only published as notices; as far as is said, nobody looked.",
            "look up notices and temporary restrictions, then say when and by whom", citation,
        )  # fmt: skip
    elif plan.window is not None and plan.notices.at_utc < plan.window.start_utc - NOTICES_HOLD:
        yield _missing(
            "notices-too-old", "Check of notices is too old",
            "Notices were checked more than 24 hours before the flight.",
            "look them up again within 24 hours before the flight", citation,
        )  # fmt: skip
    elif plan.window is not None and plan.notices.at_utc > plan.window.start_utc:
        yield _missing(
            "notices-after-start", "Check of notices lies after the start",
            "The time of the check of notices is later than the start of the flight.",
            "look up notices before the flight, and say when", citation,
        )  # fmt: skip


def observer_named(case: Case) -> Iterator[Finding]:
    """Yield what is wrong or open about the visual observer.

    A crew without one is a stop; no crew at all is not said yet, so unknown.
    """
    plan = case.plan
    observers = sorted(plan.crew_in(Role.OBSERVER), key=lambda member: member.key)
    if not observers:
        yield Finding(
            rule="no-observer",
            mark=Mark.STOP if plan.crew else Mark.UNKNOWN,
            basis=Basis.LAW,
            title="No visual observer",
            message="Whoever flies through goggles can't watch the aircraft; a visual observer must.",
            citation=sight_rule(plan.purpose),
            remedy="add a visual observer to the crew and place them on the map",
        )
    for observer in observers:
        yield from _observer(plan, observer)


def _observer(plan: Plan, observer: CrewMember) -> Iterator[Finding]:
    name = observer.called
    if observer.place is None:
        yield _missing(
            "observer-not-placed", f"Where {name} stands is not set",
            "Without a place nobody can say what the observer sees.",
            "place the observer on the map", sight_rule(plan.purpose),
        )  # fmt: skip
    if observer.contact is None:
        yield _missing(
            "observer-contact", f"How {name} is heard is not set",
            "The observer must be able to talk to whoever flies.",
            "say how observer and pilot talk", sight_rule(plan.purpose),
        )  # fmt: skip
    elif plan.purpose is Purpose.RECREATIONAL and observer.contact is not Contact.BESIDE:
        yield Finding(
            rule="observer-not-beside",
            mark=Mark.STOP,
            basis=Basis.LAW,
            title=f"{name} does not stand beside the pilot",
            message="The observer of a recreational flight is co-located with the pilot and in direct talk.",
            citation=RECREATIONAL_SIGHT,
            remedy="let the observer stand beside the pilot",
            place=observer.place,
        )


def pilot_named(case: Case) -> Iterator[Finding]:
    """Yield an unknown while nobody is named as pilot."""
    if not case.plan.crew_in(Role.REMOTE_PILOT):
        pilot = role_words(Role.REMOTE_PILOT, case.plan.purpose)
        yield _missing(
            "no-pilot-named", f"No {pilot} named",
            "The plan does not say who is responsible for the flight.",
            f"add the {pilot} to the crew",
        )  # fmt: skip


RULES = (
    drawn,
    path_of_one_point,
    path_of_equal_points,
    purpose_given,
    window_given,
    launch_given,
    notices_checked,
    aircraft_given,
    observer_named,
    pilot_named,
)
