"""Each setting written once: its default, its bounds, what it is for."""

import attrs

from planner.units import STATUTE_MILE_M


@attrs.frozen
class Settings:
    """Preferences of the desk; none of them changes an assessment.

    `ring_radius_m`: radius of the advisory rings round aerodromes [m]. They
    are not a rule; five statute miles is common practice.
    """

    ring_radius_m: float = attrs.field(
        default=5 * STATUTE_MILE_M,
        validator=[attrs.validators.ge(100.0), attrs.validators.le(50_000.0)],
    )
