"""Each setting written once: its default, its bounds, what it is for."""

from collections.abc import Mapping
from types import MappingProxyType

import attrs

from planner.units import STATUTE_MILE_M


def _frozen(switches: Mapping[str, bool]) -> Mapping[str, bool]:
    return MappingProxyType(dict(switches))


@attrs.frozen
class Settings:
    """Preferences of the desk; none of them changes an assessment.

    `ring_radius_m`: radius of the advisory rings round aerodromes [m]. They
    are not a rule; five statute miles is common practice.
    `layer_switches`: map layers that the pilot showed or hid, by id; the
    others are as they come.
    """

    ring_radius_m: float = attrs.field(
        default=5 * STATUTE_MILE_M,
        validator=[attrs.validators.ge(100.0), attrs.validators.le(50_000.0)],
    )
    layer_switches: Mapping[str, bool] = attrs.field(factory=dict, converter=_frozen)
