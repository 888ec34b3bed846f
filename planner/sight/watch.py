"""What each of several people sees all around, kept from one drawing of the map to the next."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.along import FARTHEST_M, Viewer
from planner.sight.raised import raised
from planner.sight.surfaces import Screen, Surfaces
from planner.sight.viewshed import Sweep, Viewshed, viewshed
from planner.world.plane_terrain import PlaneTerrain

Singles = NDArray[np.float32]

_MOST_CELLS = 2_000
"""So far from the eye at the most: what lies beyond on finer ground stays unknown."""


@attrs.frozen(eq=False)
class Watch:
    """Somebody's eye on what lies about them.

    Parameters
    ----------
    surfaces : ground, and the screens on it; None where no ground is known.
    shed : what is seen over ground and screens of known height, above ground; None without ground.
    shed_most : the same if screens of unknown height were as high as they may be; `shed` without any.
    """

    viewer: Viewer
    surfaces: Surfaces | None
    shed: Viewshed | None
    shed_most: Viewshed | None

    @property
    def ground(self) -> PlaneTerrain | None:
        """The ground that is looked over."""
        return self.surfaces.ground if self.surfaces is not None else None

    def serves(self, viewer: Viewer, surfaces: Surfaces | None) -> bool:
        """Whether it holds for this viewer and these surfaces, too, without looking again."""
        own = self.viewer
        same_eye = (own.eye, own.reach.detection_m) == (viewer.eye, viewer.reach.detection_m)
        return same_eye and _same(self.surfaces, surfaces)


def watches_of(
    viewers: Sequence[Viewer], surfaces: Surfaces | None, sweep: Sweep, before: Sequence[Watch] = ()
) -> tuple[Watch, ...]:
    """Return what viewers see around them, in their order; what `before` has is used again."""
    found = []
    for viewer in viewers:
        kept = next((one for one in before if one.serves(viewer, surfaces)), None)
        if kept is None:
            found.append(_watch(viewer, surfaces, sweep))
        else:
            found.append(Watch(viewer, surfaces, kept.shed, kept.shed_most))
    return tuple(found)


def _watch(viewer: Viewer, surfaces: Surfaces | None, sweep: Sweep) -> Watch:
    if surfaces is None:
        return Watch(viewer, None, None, None)
    shed = _shed(surfaces.ground, surfaces.screens, viewer, sweep)
    every = (*surfaces.screens, *surfaces.unmeasured)
    most = _shed(surfaces.ground, every, viewer, sweep) if surfaces.unmeasured else shed
    return Watch(viewer, surfaces, shed, most)


def _shed(ground: PlaneTerrain, screens: Sequence[Screen], viewer: Viewer, sweep: Sweep) -> Viewshed:
    eye, detection_m = viewer.eye, viewer.reach.detection_m
    reach_m = FARTHEST_M if detection_m is None else detection_m
    reach_m = min(reach_m, _MOST_CELLS * ground.cell_m(eye.x_m, eye.y_m))
    if not screens:
        return viewshed(ground, eye, reach_m, sweep=sweep)
    over = raised(ground, screens, eye)
    found = viewshed(over, eye, reach_m, sweep=sweep)
    rows, columns = found.lowest_seen_agl_m.shape
    cut = (
        slice(found.first_row, found.first_row + rows),
        slice(found.first_column, found.first_column + columns),
    )
    standing_m = over.terrain.heights_m[cut] - ground.terrain.heights_m[cut]
    return attrs.evolve(found, lowest_seen_agl_m=found.lowest_seen_agl_m + standing_m)


def _same(one: Surfaces | None, other: Surfaces | None) -> bool:
    if one is None or other is None:
        return one is other
    return (
        one.ground.terrain is other.ground.terrain
        and one.ground.frame.origin == other.ground.frame.origin
        and _standing(one.screens) == _standing(other.screens)
        and _standing(one.unmeasured) == _standing(other.unmeasured)
    )


def _standing(screens: Sequence[Screen]) -> list[tuple[bytes, float, float | None]]:
    return [(one.outline.wkb, one.top_amsl_m, one.over_ground_m) for one in screens]
