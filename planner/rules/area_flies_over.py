"""Rules on ground ahead of a flying area over which what flies on after a lost link comes too high."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import OverWays, over_ways
from planner.flight.area_comes import Comes
from planner.flight.area_flight import AreaFlight
from planner.flight.failsafe import Failsafe
from planner.permission.routes import TOLERANCE_M
from planner.rules.area_ahead import ahead_of
from planner.rules.area_down import straight_m
from planner.rules.area_links import area_failsafe
from planner.rules.bibliography import height_rule, inquiry_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.loss_over_words import leave_rule
from planner.rules.loss_words import does
from planner.rules.words import over_ft
from planner.saying import marked
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples

Floats = NDArray[np.float64]


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
    for mark, comes in _reaches(case.area_flight).items():
        found = _farthest_above(case, mapped, samples, straight_m(comes, failsafe))
        if found is not None:
            yield _finding(case, mapped, failsafe, mark, found)
            return


def flies_on_into_what_is_asked(case: Case) -> Iterator[Finding]:
    """Yield an unknown where it flies on, over low ground, into what only the authority can open.

    Level, and into what begins above the ground there. What begins at the ground is told of where it comes
    down (`loss_into_area`), what a return enters of the return.
    """
    samples, mapped, failsafe = case.area_samples, case.mapped, area_failsafe(case)
    if samples is None or mapped is None or failsafe is None or case.area_flight is None or case.area is None:
        return
    told = {column for one in inquiries(case) if not one.answers for column in one.columns}
    told |= {column for one in case.area_loss_asked if one is not None for column in one.column.tolist()}
    for mark, comes in _reaches(case.area_flight).items():
        asked = _asked_of(case, mapped, samples, straight_m(comes, failsafe), told)
        for column, found in asked.items():
            told.add(column)
            yield _asks(case, mapped, failsafe, mark, found)


def _reaches(flight: AreaFlight) -> dict[Mark, Comes]:
    return {Mark.STOP: flight.comes, Mark.ACT: flight.at_most}


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
    found = _over_ahead(case, mapped, samples, far_m)
    if found is None:
        return None
    (places, high_m), there = found
    with np.errstate(invalid="ignore"):
        above_m = np.nan_to_num(high_m - there.ceiling.amsl_m, nan=-np.inf)
    above_m[there.from_ground] = -np.inf
    k = int(np.argmax(above_m))
    column = int(there.ceiling.column[k])
    x_m, y_m = places[k].tolist()
    return (float(above_m[k]), column, x_m, y_m) if above_m[k] > TOLERANCE_M else None


def _over_ahead(
    case: Case, mapped: Mapped, samples: AreaSamples, far_m: float
) -> tuple[tuple[Floats, Floats], OverWays] | None:
    """Return places ahead with heights, and what is allowed there; None: nowhere, or no height is known."""
    if far_m <= 0.0:
        return None
    ahead = ahead_of(case, mapped, samples, far_m)
    places, high_m = ahead.places, ahead.high_m
    if not np.isfinite(high_m).any():
        return None

    def asked() -> OverWays:
        return over_ways(Scene(case.plan, mapped, case.uses), places[:, 0], places[:, 1], high_m)

    return (places, high_m), case.once(("over ways ahead of the area", far_m), asked)


def _asked_of(
    case: Case, mapped: Mapped, samples: AreaSamples, far_m: float, told: set[int]
) -> dict[int, tuple[float, int, float, float]]:
    """Return of each airspace asked about, but for those told, how far above what is open in it it comes."""
    found = _over_ahead(case, mapped, samples, far_m)
    if found is None:
        return {}
    (places, _), there = found
    worst = {}
    for column in np.unique(there.asked[there.asked >= 0]).tolist():
        above_m = np.where((there.asked == column) & np.isfinite(there.above_m), there.above_m, -np.inf)
        k = int(np.argmax(above_m))
        if column not in told and above_m[k] > TOLERANCE_M:
            worst[column] = float(above_m[k]), column, *places[k].tolist()
    return worst


def _asks(
    case: Case, mapped: Mapped, failsafe: Failsafe, mark: Mark, found: tuple[float, int, float, float]
) -> Finding:
    told, volume = _finding(case, mapped, failsafe, mark, found), mapped.airspace[found[1]]
    return attrs.evolve(
        told,
        rule="link-loss-asks",
        mark=Mark.UNKNOWN if mark is Mark.STOP else mark,
        message=f"{marked(told.message)} Only the authority can say whether it may.",
        citation=inquiry_rule(volume.kind),
        remedy=f"{marked(told.remedy)}; or ask the authority, and record its answer with its height",
        numbers={"above_open_m": found[0]},
    )


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


RULES = (flies_on_too_high, flies_on_into_what_is_asked)
