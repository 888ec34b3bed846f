"""Places on foot from the launch, as a grid."""

from typing import Protocol

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.sight.footing import Footing, walks_from
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
    def footing(self) -> Footing: ...  # noqa: D102
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
    """Return the places where one may stand, within the limit on foot, whose ground is known."""
    start = question.track.frame.place_to_xy(question.launch)
    footing, surfaces = question.footing, question.surfaces
    walks = walks_from(start, surfaces.ground, footing.barred, question.walk_m, question.spacing_m)
    kept = walks.where(footing)
    ground_m = walks.ground_amsl_m[kept]
    return Candidates(
        walks.x_m[kept], walks.y_m[kept], ground_m, ground_m + question.eye_height_m, walks.walk_m[kept]
    )
