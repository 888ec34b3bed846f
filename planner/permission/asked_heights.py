"""How high a request has to reach, and what of it is flown otherwise than drawn."""

import math
from collections.abc import Iterable

import attrs

from planner.permission.besides import Besides
from planner.permission.need import PermissionNeed, Rise
from planner.permission.needs import AirspaceUse
from planner.permission.on_the_edge import LOW_M, beside_agl_m
from planner.permission.part import Part
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples
from planner.units import FOOT_M, SINGLE_M

_WHOLE_M = 0.001
_SAME = 1e-6
"""What is in whole mm stays so."""


@attrs.frozen
class AskedHeights:
    """The greatest height above ground flown there [m], and what it is made of.

    `way_rise_m` is how much of it is flown on ways alone that are not drawn, `rise_m` how much more is flown
    higher than drawn or on lost link; `rise` says which.
    """

    highest_m: float
    way_rise_m: float = 0.0
    rise_m: float = 0.0
    rise: Rise = Rise.ON_LOST_LINK


def asked_heights(mapped: Mapped, use: AirspaceUse, besides: Besides) -> AskedHeights | None:
    """Return how high it is flown in an airspace, what is flown beside it included; None if unknown.

    In whole mm, rounded up, but to no more than the next foot: ground is asked in more than one scale, and a
    granted height must not fail by a rounding, in feet either.
    """
    lost = [one for one in besides.samples if one.on_lost_link]
    ways = [one for one in besides.samples if not one.on_lost_link]
    ways_m, lost_m, higher_m = (_highest_m(mapped, use, these) for these in (ways, lost, besides.higher))
    need = use.need
    if need.asked_agl_m is None or not all(map(math.isfinite, (*ways_m, *lost_m, *higher_m))):
        return None
    if max(need.asked_agl_m, *ways_m, *lost_m, *higher_m, 0.0) < LOW_M:
        ways_m.append(beside_agl_m(mapped, use.volumes, ways))
        if math.isnan(ways_m[-1]):
            return None
    return _made_of(
        need,
        need.asked_agl_m,
        max(ways_m, default=0.0),
        {Rise.ON_LOST_LINK: max(lost_m, default=0.0), Rise.AS_FLOWN: max(higher_m, default=0.0)},
    )


def _made_of(need: PermissionNeed, asked_m: float, ways_m: float, risen_m: dict[Rise, float]) -> AskedHeights:
    flown_m = max(asked_m, ways_m, *risen_m.values())
    highest_m = _rounded_up(flown_m)
    if need.drawn_agl_m is None:
        return AskedHeights(highest_m, rise=need.rise)
    level_m = max(asked_m - need.rise_m, ways_m)
    way_rise_m = level_m - need.drawn_agl_m
    if not _kept(flown_m - level_m):
        return AskedHeights(highest_m, _kept(way_rise_m))
    if need.rise_m and not _kept(flown_m - asked_m):
        return AskedHeights(highest_m, _kept(way_rise_m), highest_m - level_m, need.rise)
    rise = max(risen_m, key=lambda one: risen_m[one])
    return AskedHeights(highest_m, _kept(way_rise_m), highest_m - level_m, rise)


def _rounded_up(flown_m: float) -> float:
    """Return a height in whole mm, or feet, that is no less and is said in no more feet than hold it [m]."""
    whole_mm = math.ceil(flown_m * 1_000.0 - _SAME)
    feet = math.ceil(flown_m / FOOT_M - _SAME)
    if whole_mm / 1_000.0 > feet * FOOT_M:
        return feet * FOOT_M
    # So little above the foot beneath it would be said in that.
    said_so = whole_mm / 1_000.0 <= (feet - 1) * FOOT_M + SINGLE_M
    return (whole_mm + said_so) / 1_000.0


def _kept(rise_m: float) -> float:
    """Return a rise [m], 0 for what rounding to whole mm makes of none."""
    return rise_m if rise_m > _WHOLE_M else 0.0


def _highest_m(mapped: Mapped, use: AirspaceUse, samples: Iterable[WaySamples]) -> list[float]:
    parts = [Part.of(one, use.volumes, mapped) for one in samples]
    return [float(part.asked_agl_m()) for part in parts if part.by_volume]
