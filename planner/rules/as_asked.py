"""A need as its request sheet has it: one height, whoever is asked."""

import attrs

from planner.permission.asked_heights import asked_heights
from planner.permission.besides import Besides
from planner.permission.needs import AirspaceUse
from planner.track.mapped import Mapped


def as_asked(mapped: Mapped, use: AirspaceUse, besides: Besides) -> AirspaceUse:
    """Return the use with the height that the request sheet asks for, and what that is made of."""
    heights = asked_heights(mapped, use, besides)
    if heights is None:
        return use
    need = attrs.evolve(
        use.need,
        asked_agl_m=heights.highest_m,
        way_rise_m=heights.way_rise_m,
        rise_m=heights.rise_m,
        rise=heights.rise,
    )
    return attrs.evolve(use, need=need)
