"""Where the words go: above the lines, never on each other; pixel arithmetic without Qt."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_GAP_PX = 5.0
_APART_PX = 8.0


@attrs.frozen
class Label:
    """Words about a stretch [m]; a higher `weight` is placed first."""

    text: str
    from_m: float
    to_m: float
    weight: int = 0
    tone: str = ""


@attrs.frozen
class Box:
    """A rectangle in pixels, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: "Box") -> bool:
        """Whether the two come closer than words should."""
        return (
            self.left < other.right + _APART_PX
            and other.left < self.right + _APART_PX
            and self.top < other.bottom
            and other.top < self.bottom
        )


@attrs.frozen
class Placed:
    """A label with its box and the x at which it points down at its stretch [px]."""

    label: Label
    box: Box
    points_at_px: float


def skyline(width_px: int, x_px: Floats, top_px: Floats) -> Floats:
    """Return, per pixel column, the y of the uppermost line [px]; +inf where there is none.

    Parameters
    ----------
    x_px, top_px : (n,) arrays
        Vertices in order along x and their y, smaller is higher; NaN is a gap.
    """
    known = np.isfinite(top_px)
    line = np.full(width_px, np.inf)
    if not known.any():
        return line
    columns = np.arange(width_px, dtype=float)
    between = np.interp(columns, x_px[known], top_px[known], left=np.inf, right=np.inf)
    np.minimum(line, between, out=line)
    at = np.clip(np.round(x_px[known]), 0, width_px - 1).astype(np.int64)
    inside = (x_px[known] >= -1) & (x_px[known] <= width_px)
    np.minimum.at(line, at[inside], top_px[known][inside])
    return line


def place_labels(
    stretches: Sequence[tuple[Label, float, float, float]],
    height_px: float,
    sky_px: Floats,
    lowest_top_px: float = 2.0,
) -> list[Placed]:
    """Return the labels that find room.

    Parameters
    ----------
    stretches : sequence of (label, left [px], right [px], text width [px])
        The visible part of each label's stretch.
    height_px : height of a line of text [px].
    sky_px : (width,) uppermost line per column, as `skyline` gives it.
    """
    placed: list[Placed] = []
    for label, left, right, text_px in sorted(stretches, key=lambda item: -item[0].weight):
        if text_px > len(sky_px):
            continue
        centre = (left + right) / 2
        tries = (_box(at, text_px, height_px, sky_px, placed) for at in _tries(left, right, text_px))
        fitting = [box for box in tries if box.top >= lowest_top_px]
        if fitting:
            placed.append(Placed(label, max(fitting, key=lambda box: box.bottom), centre))
    return placed


def _tries(left: float, right: float, text_px: float) -> tuple[float, ...]:
    """Return left edges to try: centred on the stretch, then to either side of its middle."""
    centre = (left + right) / 2
    spare = max(right - left - text_px, 0.0) / 2
    return (
        centre - text_px / 2,
        centre - text_px / 2 - spare,
        centre - text_px / 2 + spare,
        centre - text_px - _GAP_PX,
        centre + _GAP_PX,
    )


def _box(left: float, text_px: float, height_px: float, sky_px: Floats, placed: Sequence[Placed]) -> Box:
    left = min(max(left, 0.0), len(sky_px) - text_px)
    first, after = max(int(left - _GAP_PX), 0), int(left + text_px + _GAP_PX) + 1
    sky = float(np.min(sky_px[first:after]))
    bottom = min(sky - _GAP_PX, 1e6)
    box = Box(left, bottom - height_px, left + text_px, bottom)
    for other in sorted((item.box for item in placed), key=lambda other: -other.bottom):
        if box.touches(other):
            box = Box(left, other.top - height_px, left + text_px, other.top)
    return box
