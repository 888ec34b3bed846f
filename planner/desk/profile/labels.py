"""Where the words go: above the lines, never on each other; pixel arithmetic without Qt."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_GAP_PX = 5.0
_APART_PX = 8.0
_ASIDE_COST = 0.6


@attrs.frozen
class Label:
    """Words about a stretch [m]; a higher `weight` is placed first."""

    text: str
    from_m: float
    to_m: float
    weight: float = 0
    tone: str = ""


@attrs.frozen
class Box:
    """A rectangle in pixels, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def centre(self) -> float:
        """The x of its middle [px]."""
        return (self.left + self.right) / 2

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


def skyline(width_px: int, x_px: Floats, top_px: Floats, joined: NDArray[np.bool_]) -> Floats:
    """Return, per pixel column, the y of a line's uppermost part [px]; +inf where there is none.

    Parameters
    ----------
    x_px, top_px : (n,) arrays
        Vertices in order along x and their y, smaller is higher.
    joined : (n,) array
        Whether each vertex is joined to the next.
    """
    line = np.full(width_px, np.inf)
    if not len(x_px):
        return line
    columns = np.arange(width_px, dtype=float)
    after = np.searchsorted(x_px, columns, "left")
    inner = (after > 0) & (after < len(x_px))
    inner[inner] = joined[after[inner] - 1]
    line[inner] = np.interp(columns[inner], x_px, top_px)
    inside = (x_px >= -0.5) & (x_px < width_px - 0.5)
    np.minimum.at(line, np.round(x_px[inside]).astype(np.int64), top_px[inside])
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
            best = min(fitting, key=lambda box: _ASIDE_COST * abs(box.centre - centre) - box.bottom)
            placed.append(Placed(label, best, centre))
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
