"""Rule on what comes down on lost link under the end of a record by less than anybody knows the height."""

from collections.abc import Callable, Iterable, Iterator

import numpy as np

from planner.ceiling.evaluate import vertical_doubt_m
from planner.permission.part import Part
from planner.permission.routes import TOLERANCE_M
from planner.permission.shortfall import Flown
from planner.rules.beside_return import closes_or_asks
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.need_on_return import coming_down
from planner.rules.opened import Opened, opened_of
from planner.rules.readout import uncertain
from planner.rules.words import over_ft, room_ft
from planner.world.airspace import AirspaceVolume


def close_under_a_record(case: Case) -> Iterator[Finding]:
    """Yield an act where it comes down within what is on record by less than the uncertainty.

    Not where the flight itself stays as little under it: that is told, and cured together.
    """
    mapped = case.mapped
    if mapped is None:
        return
    doubt_m = vertical_doubt_m(case.plan, mapped)
    for column, volume in mapped.airspace.items():
        if not closes_or_asks(case, volume) or not (opened := opened_of(case, mapped, column)).grants:
            continue
        room_m = _room_m(opened, coming_down(case, mapped, _only(column)))
        itself_m = _room_m(opened, (one for one in (case.track, case.area_samples) if one is not None))
        if -TOLERANCE_M <= room_m < min(doubt_m, itself_m - TOLERANCE_M):
            yield _finding(case, volume, opened, (room_m, doubt_m))


def _only(column: int) -> Callable[[int, AirspaceVolume], bool]:
    return lambda one, _volume: one == column


def _room_m(opened: Opened, flown: Iterable[Flown]) -> float:
    """Return how far flown places in an airspace stay under the highest record there at least [m]."""
    least_m = np.inf
    for samples in flown:
        there = Part.of(samples, [opened.column], opened.mapped).entered
        if not there.any():
            continue
        heights_m = [
            np.where(one.covers(samples), one.height_amsl_m(samples, opened.launch_m), -np.inf)
            for one in opened.grants
        ]
        room_m = (np.max(heights_m, axis=0) - samples.planned_amsl_m)[there]
        least_m = min(least_m, float(np.fmin.reduce(room_m, initial=np.inf)))
    return least_m


def _finding(
    case: Case, volume: AirspaceVolume, opened: Opened, room_and_doubt_m: tuple[float, float]
) -> Finding:
    room_m, doubt_m = room_and_doubt_m
    name = volume.name or "an airspace without a name"
    named = ", ".join(dict.fromkeys(grant.record.reference for grant in opened.grants))
    return Finding(
        rule="link-loss-within-band",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"On lost link close under what {named} opens",
        message=f"Where the aircraft comes down by itself on lost link it stays {room_ft(max(room_m, 0.0))} "
        f"under what {named} opens of {name}; {over_ft(doubt_m)} are {uncertain(case)}.",
        citation="common practice",
        remedy="fly lower or more slowly there, set a shorter delay or another action, or have the record "
        "reach higher",
        numbers={"room_m": room_m, "uncertainty_m": doubt_m},
    )


RULES = (close_under_a_record,)
