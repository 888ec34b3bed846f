"""Rules on the height that the goggles show."""

from collections.abc import Iterator

import numpy as np

from planner.ceiling.never_exceed import HeightUnit, never_exceed, planned_over, readout_unit, units_over
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft

COMMON_PRACTICE = "common practice"


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
        citation=COMMON_PRACTICE,
        remedy="measure it, or look it up, and enter it with the aircraft",
    )


def over_the_figure(case: Case) -> Iterator[Finding]:
    """Yield an act for each leg planned higher than a figure never to exceed there, under the ceiling.

    Pieces of a leg that come above the ceiling are left out: there is a stop already. A hillside followed
    along its ground has a figure every 100 m or so: one act tells them all.
    """
    track, profile = case.track, case.profile
    readout = case.plan.aircraft.readout if case.plan.aircraft else None
    if track is None or profile is None or readout is None or readout.error_m is None:
        return
    unit = readout_unit(case.plan)
    figures = never_exceed(track, profile, readout.error_m, unit)
    over = units_over(track, planned_over(track, profile, figures, unit), unit)
    shown = np.nan_to_num((track.planned_amsl_m - track.launch_ground_amsl_m) / unit.value)
    by_leg: dict[int, list[Stretch]] = {}
    for part in stretches(track, over > 0):
        by_leg.setdefault(int(track.leg[part.first]), []).append(part)
    for parts in by_leg.values():
        first, last = parts[0].first, parts[-1].last
        worst = first + int(np.argmax(over[first : last + 1]))
        planned = round(float(shown[worst]))
        by = int(over[worst])
        yield Finding(
            rule="planned-over-never-exceed",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Planned above the figure never to exceed",
            message=(
                f"At {along(float(track.distance_m[worst]))} the goggles would show {_read(planned, unit)}; "
                f"never to be exceeded on that part of the leg are {_read(planned - by, unit)}: its lowest "
                f"ceiling, less the readout's error.{_more(parts)} Whoever keeps to the figure can't fly it "
                "as drawn."
            ),
            citation=COMMON_PRACTICE,
            remedy=(
                f"lower it there by {over_ft(by * unit.value)}; where the ceiling falls along a leg, one "
                "more point gives each part a figure of its own"
            ),
            from_m=parts[0].from_m,
            to_m=parts[-1].to_m,
            place=place_at(track, worst),
            numbers={"at_m": float(track.distance_m[worst]), "over_m": by * unit.value},
        )


def _more(parts: list[Stretch]) -> str:
    return f" So it is on {len(parts)} stretches of the leg; this is the worst." if len(parts) > 1 else ""


def _read(figure: int, unit: HeightUnit) -> str:
    return f"{figure:,} {'ft' if unit is HeightUnit.FEET else 'm'}"


RULES = (error_not_given,)
FOLLOWING_RULES = (over_the_figure,)
