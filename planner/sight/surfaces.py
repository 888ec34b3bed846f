"""What may stand between an eye and the aircraft."""

from enum import StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.sight.ground_error import lift_m, turns_of
from planner.world.plane_terrain import PlaneTerrain
from planner.world.terrain import SurfaceKind

Floats = NDArray[np.float64]


class ScreenKind(StrEnum):
    """What stands there; what is `TREES` may be passed behind within the pilot's own limit of time."""

    BUILDING = "building"
    TREES = "trees"


@attrs.frozen(eq=False)
class Screen:
    """A solid thing on the ground: its outline in the local plane and its top.

    Parameters
    ----------
    top_amsl_m : the flat top; of what follows the ground its highest point [m AMSL].
        inf where the ground below it is not known.
    over_ground_m : height above the ground of what follows it, as crowns do [m];
        None: the top is flat.
    name : as drawn or charted, '' where it has none.
    """

    outline: BaseGeometry
    top_amsl_m: float
    over_ground_m: float | None = None
    kind: ScreenKind = ScreenKind.BUILDING
    name: str = ""

    @property
    def called(self) -> str:
        """What to call it in a sentence."""
        return f"the {self.kind.value} “{self.name}”" if self.name else f"the {self.kind.value}"


@attrs.frozen(eq=False)
class Surfaces:
    """The ground people stand on, what covers it where known, and what stands on it.

    `cover` is a surface of crowns and roofs; where it is missing or void the
    ground alone counts. `screens` are buildings and trees of known height,
    `unmeasured` those of unknown height, as high as they may plausibly be:
    over them a line is neither free nor hidden. `left_out` is how many are in
    neither because the ground is a surface model that holds them already.
    """

    ground: PlaneTerrain
    cover: PlaneTerrain | None = None
    screens: tuple[Screen, ...] = ()
    unmeasured: tuple[Screen, ...] = ()
    left_out: int = 0

    @property
    def trees_checked(self) -> bool:
        """Whether crowns are in what is looked through everywhere; else say "trees not checked".

        Some drawn trees are no answer for all others.
        """
        return self.cover is not None or self.ground.terrain.surface is SurfaceKind.SURFACE


@attrs.frozen(eq=False)
class Rays:
    """Straight lines from one eye to many targets, arrays (rays,).

    `bow_m` is how far the middle of each ray would sag, times four: at share
    t of the way the ray is `bow_m * t * (1 - t)` below the chord of its ends'
    heights above sea level. Where the targets' heights over the ground are told (`lifted`), all that is
    in the way counts as higher by its error.
    """

    eye_xy: tuple[float, float]
    eye_amsl_m: float
    x_m: Floats
    y_m: Floats
    amsl_m: Floats
    bow_m: Floats
    error_m: float = 0.0
    over_m: Floats | None = None

    def __len__(self) -> int:
        """Return the number of rays."""
        return len(self.x_m)

    def take(self, which: NDArray[np.bool_] | NDArray[np.int64]) -> "Rays":
        """Return some of the rays."""
        return attrs.evolve(
            self,
            x_m=self.x_m[which],
            y_m=self.y_m[which],
            amsl_m=self.amsl_m[which],
            bow_m=self.bow_m[which],
            over_m=None if self.over_m is None else self.over_m[which],
        )

    def height_m(self, ray: NDArray[np.int64], share: Floats) -> Floats:
        """Return heights of rays at shares of their way [m AMSL]."""
        rise = self.amsl_m[ray] - self.eye_amsl_m
        return np.asarray(self.eye_amsl_m + rise * share - self.bow_m[ray] * share * (1.0 - share))

    @property
    def length_m(self) -> Floats:
        """Horizontal lengths of the rays [m]."""
        return np.asarray(np.hypot(self.x_m - self.eye_xy[0], self.y_m - self.eye_xy[1]))

    def lifted(self, error_m: float, over_m: Floats) -> "Rays":
        """Return the rays for ground that is higher by its error; `over_m` are targets' heights over it."""
        return attrs.evolve(self, error_m=error_m, over_m=np.maximum(over_m, 0.0))

    def free_m(self, ray: NDArray[np.int64], share: Floats) -> Floats:
        """Return up to which height ground, as it is given, leaves rays free at shares [m AMSL]."""
        height_m = self.height_m(ray, share)
        if self.over_m is None:
            return height_m
        length_m = self.length_m[ray]
        return height_m - lift_m(self.error_m, share * length_m, length_m, self.over_m[ray])

    def lower(self, clearance_m: Floats, ray: NDArray[np.int64], share: Floats) -> None:
        """Take the ground's error from clearances of rays at shares, (rays, k), in place."""
        if self.over_m is not None:
            length_m = self.length_m[ray][:, None]
            clearance_m -= lift_m(self.error_m, share * length_m, length_m, self.over_m[ray][:, None])

    def turns(self, ray: NDArray[np.int64]) -> Floats:
        """Return the shares of rays, (rays, k), at which an error of the ground bends what is free."""
        if self.over_m is None:
            return np.empty((len(ray), 0))
        return turns_of(self.error_m, self.length_m[ray], self.over_m[ray])
