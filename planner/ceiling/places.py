"""Single places off the path, flown from the ground up, as samples for the ceiling."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.evaluate import Scene
from planner.track.build import launch_ground_m

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Places:
    """Places of one shape (n,) with their ground; nothing is planned over them.

    `columns` has a mask for each outline that holds any of them.
    """

    ground_amsl_m: Floats
    lowest_ground_amsl_m: Floats
    launch_ground_amsl_m: float
    columns: dict[int, Mask]

    @property
    def planned_amsl_m(self) -> Floats:
        """Planned height [m AMSL]: none."""
        return np.full(len(self.ground_amsl_m), np.nan)

    @property
    def is_surface(self) -> bool:
        """Whether the samples stand for places between them: each of these stands for itself."""
        return False

    @property
    def flown_from_amsl_m(self) -> Floats:
        """Lowest height flown over each place [m AMSL]: the ground."""
        return self.ground_amsl_m

    def inside_outline(self, column: int) -> Mask:
        """Return, per place, whether it lies in outline `column`."""
        inside = self.columns.get(column)
        return np.zeros(len(self.ground_amsl_m), dtype=bool) if inside is None else inside


def places_at(scene: Scene, x_m: Floats, y_m: Floats) -> Places:
    """Return places at plane positions (n,) [m] of the scene's frame."""
    mapped = scene.mapped
    unknown = np.full(len(x_m), np.nan)
    ground_m, lowest_m = mapped.ground.ground_and_lowest(x_m, y_m) if mapped.ground else (unknown, unknown)
    box = np.array([x_m.min(), y_m.min(), x_m.max(), y_m.max()])
    inside = {
        int(column): mapped.outlines.contains(int(column), x_m, y_m)
        for column in mapped.outlines.columns_near(box)
    }
    return Places(
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=lowest_m,
        launch_ground_amsl_m=launch_ground_m(scene.plan, mapped.frame, mapped.ground),
        columns={column: mask for column, mask in inside.items() if mask.any()},
    )
