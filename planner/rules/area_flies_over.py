"""Rule on ground ahead of a flying area over which what flies on after a lost link comes too high."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import over_ways
from planner.flight.failsafe import Failsafe
from planner.permission.routes import TOLERANCE_M
from planner.rules.area_ahead import ahead_of
from planner.rules.area_down import straight_m
from planner.rules.area_links import area_failsafe
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.loss_over_words import leave_rule
from planner.rules.loss_words import does
from planner.rules.words import over_ft
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples


def flies_on_too_high(case: Case) -> Iterator[Finding]:
    """Yield a stop where it flies on, level, over ground so low that it is above a ceiling there.

    Something to do where only the speed limit would carry it there, as nobody said how fast it is. What is
    shut from the ground up is told of where it comes down (`loss_into_area`), and so is the area itself.
    """
    samples, mapped, failsafe = case.area_samples, case.mapped, area_failsafe(case)
    if samples is None or mapped is None or failsafe is None or _told_of_returns(case):
        return
    if case.area_flight is None or case.area is None:
        return
    reaches = {Mark.STOP: case.area_flight.comes, Mark.ACT: case.area_flight.at_most}
    for mark, comes in reaches.items():
        found = _farthest_above(case, mapped, samples, straight_m(comes, failsafe))
        if found is not None:
            yield _finding(case, mapped, failsafe, mark, found)
            return


def _told_of_returns(case: Case) -> bool:
    """Whether returns are told to come above a ceiling already: their way from there on, too."""
    return any(
        float(np.fmax.reduce(one, initial=-np.inf)) > TOLERANCE_M
        for one in case.area_loss_over_ceiling_m
        if one is not None
    )


def _farthest_above(
    case: Case, mapped: Mapped, samples: AreaSamples, far_m: float
) -> tuple[float, int, float, float] | None:
    """Return how far above a ceiling it comes [m], the airspace that sets it, and where; None: nowhere."""
    if far_m <= 0.0:
        return None
    ahead = ahead_of(case, mapped, samples, far_m)
    places, high_m = ahead.places, ahead.high_m
    if not np.isfinite(high_m).any():
        return None
    there = over_ways(Scene(case.plan, mapped, case.uses), places[:, 0], places[:, 1], high_m)
    with np.errstate(invalid="ignore"):
        above_m = np.nan_to_num(high_m - there.ceiling.amsl_m, nan=-np.inf)
    above_m[there.from_ground] = -np.inf
    k = int(np.argmax(above_m))
    column = int(there.ceiling.column[k])
    x_m, y_m = places[k].tolist()
    return (float(above_m[k]), column, x_m, y_m) if above_m[k] > TOLERANCE_M else None


def _finding(
    case: Case, mapped: Mapped, failsafe: Failsafe, mark: Mark, found: tuple[float, int, float, float]
) -> Finding:
    above_m, column, x_m, y_m = found
    volume = mapped.airspace.get(column)
    name = "" if volume is None else volume.name or "an airspace without a name"
    above = "what is allowed there" if volume is None else f"what is open of {name}"
    fast = "" if mark is Mark.STOP else " at 87 kt, the speed limit, as no airspeed is given"
    title = f"into {name}" if volume is not None else "above the ceiling"
    inside = case.area_samples is not None and shapely.intersects_xy(case.area_samples.footprint, x_m, y_m)
    where = "high over its ground in the flying area" if inside else "at the edge of the flying area"
    finding = Finding(
        rule="link-loss-above-ceiling",
        mark=mark,
        basis=Basis.SAFETY,
        title=f"On lost link it flies on {title}",
        message=f"Lost {where} the aircraft flies on as it flew for "
        f"{failsafe.delay_s:g} s{fast}, over lower ground {over_ft(above_m)} above {above}; then it "
        f"{does(case.plan, failsafe.action)}.",
        citation=height_rule(case.plan.purpose),
        remedy=("" if inside else "end the area farther before the ground falls away, ")
        + "lower its top, or set a shorter delay",
        place=mapped.frame.xy_to_place(x_m, y_m),
        numbers={"over_m": above_m},
    )
    if volume is None:
        return finding
    return attrs.evolve(finding, basis=Basis.LAW, citation=leave_rule(case, volume))


RULES = (flies_on_too_high,)
