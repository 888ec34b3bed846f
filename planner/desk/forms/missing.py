"""What the plan does not say yet, in the order in which it changes the verdict."""

from planner.plan.crew import Role
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import role_words
from planner.rules.sight_basics import nobody_watches, unplaced_flyers


def missing_things(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return a section's key, or 'section/field', and one line for each thing that is not set."""
    cannot = "cannot be determined"
    questions = (
        (plan.purpose is None, "purpose", f"Purpose not set: {cannot}"),
        (_guidelines_missing(plan), "purpose", "Community guidelines not named"),
        (plan.window is None, "window", f"Time window not set: {cannot}"),
        (plan.launch is None, "land", f"Launch point not drawn: {cannot}"),
        (_unsettled(plan), "land", "Ground not settled: permission needed"),
        (plan.notices is None, "notices", f"Notices not checked: {cannot}"),
        (plan.aircraft is None, "aircraft", f"Aircraft not set: {cannot}"),
        (plan.visibility_m is None, "sight", f"Visibility not set: {cannot}"),
        (
            not plan.crew_in(Role.REMOTE_PILOT),
            "crew",
            f"Nobody is named as {role_words(Role.REMOTE_PILOT, plan.purpose)}",
        ),
        (not plan.crew_in(Role.OBSERVER), "crew", "Nobody is named as visual observer"),
        (nobody_watches(plan), "crew/tasks", f"Nobody's eyes are on the aircraft: {cannot}"),
        (_unplaced(plan), "crew/stands", f"Observer not placed: {cannot}"),
        (bool(unplaced_flyers(plan)), "crew/stands", f"Pilot not placed: {cannot}"),
    )
    return tuple((key, words) for is_missing, key, words in questions if is_missing)


def _unplaced(plan: Plan) -> bool:
    return any(member.place is None for member in plan.crew_in(Role.OBSERVER))


def _guidelines_missing(plan: Plan) -> bool:
    return plan.purpose is Purpose.RECREATIONAL and not plan.guidelines.strip()


def _unsettled(plan: Plan) -> bool:
    return any(spot is not None and not spot.settled for spot in (plan.launch, plan.landing))
