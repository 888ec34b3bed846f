"""What each of several people sees all around, kept from one drawing of the map to the next."""

from collections.abc import Sequence

import attrs

from planner.sight.along import FARTHEST_M, Viewer
from planner.sight.spot import Spot
from planner.sight.viewshed import Sweep, Viewshed, viewshed
from planner.world.plane_terrain import PlaneTerrain

_MOST_CELLS = 2_000
"""So far from the eye at the most: what lies beyond on finer ground stays unknown."""


@attrs.frozen(eq=False)
class Watch:
    """Somebody's eye on a piece of ground; `shed` is None where there is no ground."""

    viewer: Viewer
    ground: PlaneTerrain | None
    shed: Viewshed | None

    def serves(self, viewer: Viewer, ground: PlaneTerrain | None) -> bool:
        """Whether it holds for this viewer and ground, too, without looking again."""
        same = self.ground is ground or (
            self.ground is not None
            and ground is not None
            and self.ground.terrain is ground.terrain
            and self.ground.frame.origin == ground.frame.origin
        )
        own = self.viewer
        return same and (own.eye, own.reach.detection_m) == (viewer.eye, viewer.reach.detection_m)


def watches_of(
    viewers: Sequence[Viewer], ground: PlaneTerrain | None, sweep: Sweep, before: Sequence[Watch] = ()
) -> tuple[Watch, ...]:
    """Return what viewers see around them, in their order; what `before` has is used again."""
    found = []
    for viewer in viewers:
        kept = next((one for one in before if one.serves(viewer, ground)), None)
        shed = kept.shed if kept else _shed(ground, viewer.eye, viewer.reach.detection_m, sweep)
        found.append(Watch(viewer, ground, shed))
    return tuple(found)


def _shed(ground: PlaneTerrain | None, eye: Spot, detection_m: float | None, sweep: Sweep) -> Viewshed | None:
    if ground is None:
        return None
    reach_m = FARTHEST_M if detection_m is None else detection_m
    most_m = _MOST_CELLS * ground.cell_m(eye.x_m, eye.y_m)
    return viewshed(ground, eye, min(reach_m, most_m), sweep=sweep)
