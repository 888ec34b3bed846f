"""From which height above the ground up a link holds anywhere in a flying area."""

import math
from typing import Final

import attrs
import numpy as np

from planner.flight.answer import Link, links_of
from planner.plan.aircraft import Radio
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.track import Track

# Heights above the ground at which links are asked, below the area's top: own choice.
_HEIGHTS_M: Final = (2.0, 5.0, 10.0, 20.0, 40.0)


@attrs.frozen(eq=False)
class LowLink:
    """A link that holds at the area's top and is too weak low in it.

    `low` is it at the lowest height asked, at `places`; `holds_from_m` the lowest height above ground from
    which up it holds wherever it was asked, NaN: none below the top.
    """

    radio: Radio
    low: Link
    places: Track
    height_m: float
    holds_from_m: float


def low_links(
    plan: Plan, mapped: Mapped, places: Track, at_top: tuple[Link, ...], top_agl_m: float
) -> tuple[LowLink, ...]:
    """Return the links that are good at the top and too weak lower, at places of an area."""
    good = {
        id(link.radio) for link in at_top if not link.profile.thin.any() and not link.profile.unknown.any()
    }
    weak: dict[int, LowLink] = {}
    for height_m in (one for one in _HEIGHTS_M if one < top_agl_m):
        track = attrs.evolve(places, planned_amsl_m=places.ground_amsl_m + height_m)
        thin = {id(one.radio): one for one in links_of(plan, mapped, track) if one.profile.thin.any()}
        if height_m == _HEIGHTS_M[0]:
            weak = {
                key: LowLink(one.radio, one, track, height_m, math.nan)
                for key, one in thin.items()
                if key in good
            }
        for key, one in weak.items():
            holds_m = one.holds_from_m
            if key in thin:
                holds_m = math.nan
            elif math.isnan(holds_m):
                holds_m = height_m
            weak[key] = attrs.evolve(one, holds_from_m=holds_m)
        if all(np.isfinite(one.holds_from_m) for one in weak.values()):
            break
    return tuple(weak.values())
