"""What is seen of an area that is flown freely, from the ground up to its top."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.along import Viewer
from planner.sight.grid import box_about
from planner.sight.line import TOUCH_M
from planner.sight.lines import Lines, Outlook, Targets, over_bare, over_screens, rays_to, slant_m
from planner.sight.spot import Spot
from planner.sight.surely import surely
from planner.sight.surfaces import Surfaces

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# A place counts as seen down to the ground if it is seen from so far above it: lower it is landed.
LOW_M = 2.0
_MOST_PLACES = 20_000


@attrs.frozen(eq=False)
class AreaSight:
    """What one viewer has of an area's places, arrays (n,).

    Parameters
    ----------
    which : indices of the places looked at among those given.
    slant_range_m : greatest distance through the air, to the top or to the least
        height at which it is seen.
    seen_from_agl_m : least height above ground from which up to the top it is
        surely seen, whatever may be in the way of known height or not; inf if
        not even at the top, NaN where unknown.
    surely_from_agl_m : the same if the ground in between is as high as its stated error allows; above
        the top where that is not enough.
    """

    key: str
    which: NDArray[np.int64]
    slant_range_m: Floats
    seen_from_agl_m: Floats
    surely_from_agl_m: Floats


def sight_over(targets: Targets, viewers: tuple[Viewer, ...], surfaces: Surfaces) -> tuple[AreaSight, ...]:
    """Return what viewers see of places whose tops are `targets`; of very many places some are looked at.

    Where the top lies under the ground nothing can be flown, so nothing is looked at.
    """
    aloft = np.flatnonzero(~(targets.amsl_m <= targets.ground_amsl_m))
    which = aloft[:: max(1, -(-len(aloft) // _MOST_PLACES))]
    if not len(which):
        return ()
    tops = targets.take(which)
    # Who stands at one place sees the same: the pilot with the observer beside is the rule.
    seen = {eye: _of_one(eye, which, tops, surfaces) for eye in dict.fromkeys(one.eye for one in viewers)}
    return tuple(attrs.evolve(seen[viewer.eye], key=viewer.key) for viewer in viewers)


def _of_one(eye: Spot, which: NDArray[np.int64], tops: Targets, surfaces: Surfaces) -> AreaSight:
    box = box_about(np.append(tops.x_m, eye.x_m), np.append(tops.y_m, eye.y_m))
    outlook, rays = Outlook.over(surfaces, box), rays_to(eye, tops)
    bare = over_bare(outlook, rays, eye, tops)
    lines = lowest = over_screens(bare, outlook, rays)
    if surfaces.unmeasured:
        every = (*surfaces.screens, *surfaces.unmeasured)
        outlook = attrs.evolve(outlook, surfaces=attrs.evolve(surfaces, screens=every, unmeasured=()))
        lowest = over_screens(bare, outlook, rays)
    from_m = _seen_from(lines, lowest, tops)
    # Of an upright line one of its two ends is the farthest: from a hill that is not the top.
    with np.errstate(invalid="ignore"):
        low_m = np.where(np.isfinite(from_m), tops.ground_amsl_m + from_m, tops.amsl_m)
    far_m = np.maximum(slant_m(eye, tops), slant_m(eye, attrs.evolve(tops, amsl_m=low_m)))
    return AreaSight("", which, far_m, from_m, _surely_from(outlook, eye, lowest, tops, from_m))


def _surely_from(outlook: Outlook, eye: Spot, lowest: Lines, tops: Targets, from_m: Floats) -> Floats:
    """Return the least height above ground at which the places are surely seen; ground below lifts both."""
    top_agl_m = tops.amsl_m - tops.ground_amsl_m
    sure = surely(outlook, rays_to(eye, tops), lowest, (eye, tops), np.zeros(len(tops)), top_agl_m - LOW_M)
    surely_m = np.fmax(top_agl_m - sure.spare_m + sure.doubt_m, from_m)
    return np.where(np.isnan(from_m), np.nan, surely_m)


def _seen_from(lines: Lines, lowest: Lines, tops: Targets) -> Floats:
    """Return the least height above ground at which the places are seen; `lowest` says by how much to sink.

    What lies between raster lines may take a little more away; the doubt is added.
    """
    top_agl_m = tops.amsl_m - tops.ground_amsl_m
    lowest_m = np.maximum(top_agl_m - lowest.spare_m + np.nan_to_num(lowest.spare_doubt_m), 0.0)
    lowest_m = np.where(lines.clearance_m < -TOUCH_M, np.inf, lowest_m)
    return np.where(lines.unknown, np.nan, lowest_m)
