"""What a vehicle that moves makes of everything reckoned from where the crew is drawn."""

from collections.abc import Iterator

from planner.plan.crew import Role
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE


def moving_station(case: Case) -> Iterator[Finding]:
    """Yield an act on a flight from a moving vehicle: its sight, links and way home are of one place."""
    plan = case.plan
    if plan.from_vehicle is None:
        return
    drawn = any(
        member.place is not None
        for role in (Role.PERSON_AT_CONTROLS, Role.REMOTE_PILOT)
        for member in plan.crew_in(role)
    )
    home = "landing" if plan.landing else "launch"
    by_itself = "return point" if plan.return_point else f"{'launch' if plan.launch else 'landing'} point"
    yield Finding(
        rule="vehicle-moves-on",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Reckoned as if the vehicle stood still",
        message="Sight and radio links are reckoned from where the crew "
        f"{'is drawn' if drawn else 'starts'}, and the way home with its battery leads to the {home} point, "
        f"by itself on lost link to the {by_itself}. Once the vehicle has moved on, nothing of it holds.",
        citation=COMMON_PRACTICE,
        remedy="plan it from each place that the vehicle comes to, keep the vehicle near it, and "
        "set a lost link so that the aircraft does not fly to where nobody is any more",
        place=plan.launch.place if plan.launch else None,
    )


RULES = (moving_station,)
