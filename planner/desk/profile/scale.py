"""From metres along and feet above sea level to pixels of the plot, and round ticks; no Qt."""

import math
from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.saying import WAYS

Floats = NDArray[np.float64]


@attrs.frozen
class Still:
    """Where points stay drawn while their path gets longer or shorter under the hand: now, and drawn [m].

    Between two points the axis is stretched evenly.
    """

    now_m: tuple[float, ...]
    drawn_m: tuple[float, ...]


@attrs.frozen
class Scale:
    """The visible ranges and the size of the plot [px], y downward.

    `from_m` and `to_m` are of the axis as drawn; `still` says where it stands still.
    """

    from_m: float
    to_m: float
    low_ft: float
    high_ft: float
    width_px: float
    height_px: float
    still: Still | None = None

    @property
    def px_per_m(self) -> float:
        """Pixels for each metre along the path."""
        return self.width_px / (self.to_m - self.from_m)

    @property
    def px_per_ft(self) -> float:
        """Pixels for each foot of height."""
        return self.height_px / (self.high_ft - self.low_ft)

    def drawn_m(self, distance_m: Floats) -> Floats:
        """Return where distances along the path lie on the axis as drawn [m]."""
        if self.still is None:
            return distance_m
        return np.interp(distance_m, self.still.now_m, self.still.drawn_m)

    def x_px(self, distance_m: float) -> float:
        """Return the x of a distance [px]."""
        return float(self.all_x_px(np.array([distance_m]))[0])

    def y_px(self, height_ft: float) -> float:
        """Return the y of a height [px]."""
        return (self.high_ft - height_ft) * self.px_per_ft

    def all_x_px(self, distance_m: Floats) -> Floats:
        """Return the x of many distances [px]."""
        return (self.drawn_m(distance_m) - self.from_m) * self.px_per_m

    def all_y_px(self, height_ft: Floats) -> Floats:
        """Return the y of many heights [px]."""
        return (self.high_ft - height_ft) * self.px_per_ft

    def distance_m(self, x_px: float) -> float:
        """Return the distance along the path at an x [m]."""
        at_m = self.axis_m(x_px)
        return at_m if self.still is None else float(np.interp(at_m, self.still.drawn_m, self.still.now_m))

    def axis_m(self, x_px: float) -> float:
        """Return what the axis as drawn says at an x [m]."""
        return self.from_m + x_px / self.px_per_m

    def height_ft(self, y_px: float) -> float:
        """Return the height at a y [ft]."""
        return self.high_ft - y_px / self.px_per_ft


def round_step(span: float, most_ticks: int) -> float:
    """Return the smallest of 1, 2, 5 times a power of ten that gives at most that many ticks."""
    if not span > 0:
        return 1.0
    raw = span / max(most_ticks, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= raw * (1 - 1e-9))


def ticks(low: float, high: float, step: float) -> Iterator[float]:
    """Yield the multiples of `step` between two values."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return (number * step for number in range(first, last + 1))


def distance_text(distance_m: float, step_m: float, way: str = "km") -> str:
    """Return a tick's words in the unit of ways: of kilometres metres for short steps at the start."""
    if way != "km":
        unit_m = WAYS[way]
        decimals = max(0, min(3, -math.floor(math.log10(step_m / unit_m) + 1e-9)))
        return f"{distance_m / unit_m:,.{decimals}f} {way}"
    if step_m < 100 and distance_m < 1000:
        return f"{distance_m:,.0f} m"
    if distance_m == 0:
        return "0 km"
    decimals = max(0, min(3, -math.floor(math.log10(step_m / 1000) + 1e-9)))
    return f"{distance_m / 1000:,.{decimals}f} km"
