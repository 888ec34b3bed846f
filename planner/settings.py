"""Each setting written once: its default, its bounds, what it is for."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import attrs

from planner.saying import AS_IT_COMES, Units
from planner.units import FOOT_M, STATUTE_MILE_M

APPEARANCES: Final = ("light", "dark", "high-contrast")
SMALLEST_TEXT_PERCENT: Final = 90
LARGEST_TEXT_PERCENT: Final = 150


def _frozen(switches: Mapping[str, bool]) -> Mapping[str, bool]:
    return MappingProxyType(dict(switches))


def _between(least: float, most: float, *, default: float) -> float:
    bounds = [attrs.validators.ge(least), attrs.validators.le(most)]
    return attrs.field(default=default, validator=bounds)


@attrs.frozen
class Settings:
    """Preferences of the desk; none of them changes an assessment.

    `ring_radius_m`: radius of the advisory rings round aerodromes [m]. They
    are not a rule; five statute miles is common practice.
    `layer_switches`: map layers that the pilot showed or hid, by id; the
    others are as they come.
    `margin_m`, `above_ground_m`, `aside_m`, `steepest_sink`: what a change that
    the desk suggests leaves under the ceiling, above the ground and beside
    airspace [m], and how steeply it sinks (1: 45 degrees).
    `appearance`: which colours the desk has; `text_percent`: the size of its
    text, 100 as it comes.
    `units`: in which heights, speeds, ways and times are said and, without a unit, typed.
    """

    ring_radius_m: float = _between(100.0, 50_000.0, default=5 * STATUTE_MILE_M)
    layer_switches: Mapping[str, bool] = attrs.field(factory=dict, converter=_frozen)
    margin_m: float = _between(0.0, 200.0, default=20 * FOOT_M)
    above_ground_m: float = _between(0.0, 200.0, default=50 * FOOT_M)
    aside_m: float = _between(1.0, 5_000.0, default=50.0)
    steepest_sink: float = _between(0.01, 10.0, default=0.5)
    appearance: str = attrs.field(default=APPEARANCES[0], validator=attrs.validators.in_(APPEARANCES))
    text_percent: float = _between(SMALLEST_TEXT_PERCENT, LARGEST_TEXT_PERCENT, default=100.0)
    units: Units = attrs.field(default=AS_IT_COMES, validator=attrs.validators.instance_of(Units))
