"""Places on foot from the launch, as a grid."""

from typing import Protocol

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.sight.screened import indoors
from planner.sight.surfaces import Surfaces
from planner.track.track import Track

Floats = NDArray[np.float64]


class GridQuestion(Protocol):
    """What a grid of places hangs on; see `StandQuestion`."""

    @property
    def track(self) -> Track: ...  # noqa: D102
    @property
    def surfaces(self) -> Surfaces: ...  # noqa: D102
    @property
    def launch(self) -> Place: ...  # noqa: D102
    @property
    def allowed(self) -> BaseGeometry | None: ...  # noqa: D102
    @property
    def walk_m(self) -> float: ...  # noqa: D102
    @property
    def spacing_m(self) -> float: ...  # noqa: D102
    @property
    def eye_height_m(self) -> float: ...  # noqa: D102


@attrs.frozen(eq=False)
class Candidates:
    """Places to stand, arrays (n,): plane positions, ground and eye [m AMSL], way from the launch [m]."""

    x_m: Floats
    y_m: Floats
    ground_amsl_m: Floats
    amsl_m: Floats
    walk_m: Floats

    def __len__(self) -> int:
        """Return the number of places."""
        return len(self.x_m)


def candidates_about(question: GridQuestion) -> Candidates:
    """Return the allowed places within walking distance whose ground is known."""
    launch_x, launch_y = question.track.frame.place_to_xy(question.launch)
    count = int(question.walk_m // question.spacing_m)
    offset_m = question.spacing_m * np.arange(-count, count + 1)
    x_m, y_m = (axis.ravel() for axis in np.meshgrid(launch_x + offset_m, launch_y + offset_m))
    walk_m = np.hypot(x_m - launch_x, y_m - launch_y)
    kept = walk_m <= question.walk_m
    if question.allowed is not None:
        kept &= shapely.intersects_xy(question.allowed, x_m, y_m)
    x_m, y_m, walk_m = x_m[kept], y_m[kept], walk_m[kept]
    ground_m = question.surfaces.ground.ground(x_m, y_m)
    known = ~np.isnan(ground_m) & ~indoors(question.surfaces, x_m, y_m)
    return Candidates(
        x_m[known], y_m[known], ground_m[known], ground_m[known] + question.eye_height_m, walk_m[known]
    )
