"""Rules on the height that the goggles show."""

from collections.abc import Iterator

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark


def error_given(case: Case) -> bool:
    """Whether the pilot says how far the readout may be off."""
    readout = case.plan.aircraft.readout if case.plan.aircraft else None
    return readout is not None and readout.error_m is not None


def uncertain(case: Case) -> str:
    """Return what an uncertainty of height is made of."""
    if error_given(case):
        return "uncertainty of terrain and readout"
    return "uncertainty of the terrain, the readout's error not counted: it is not given"


def error_not_given(case: Case) -> Iterator[Finding]:
    """Yield an act while it is not said how far the readout may be off."""
    plan = case.plan
    if plan.aircraft is None or error_given(case) or not (plan.path or plan.area):
        return
    yield Finding(
        rule="readout-error-not-given",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Error of the readout is not given",
        message=(
            "So planned heights are held against limits as if the goggles showed them exactly, and there is "
            "no figure never to exceed."
        ),
        citation="common practice",
        remedy="measure it, or look it up, and enter it with the aircraft",
    )


RULES = (error_not_given,)
