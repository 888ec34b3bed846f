"""Labels on a map: each finds a free place beside its anchor, or is left out."""

import math
from collections.abc import Iterator

import attrs
import numpy as np
import shapely
import shapely.affinity
from shapely.geometry.base import BaseGeometry

from planner.drawing import svg
from planner.drawing.ink import INK, PAPER

_DIRECTIONS = ((1, 0), (-1, 0), (1, -1), (1, 1), (-1, -1), (-1, 1), (0, -1), (0, 1))
_HALO = 2.2
_STEP = 4.0
_NEAR = 7.0


@attrs.frozen
class Label:
    """Words that belong to a point, `gap` to `gap + reach` off it [pt]; without a gap also on it.

    Far off, a line leads to the point, unless the words lie inside `home`.
    `short` is said instead where the whole text has no place, or only one that is
    farther off than that of `short` by `spared` points.
    """

    text: str
    x: float
    y: float
    size: float = 9.0
    weight: int = 600
    fill: str = INK
    gap: float = 5.0
    reach: float = 16.0
    home: BaseGeometry | None = None
    short: str = ""
    spared: float = math.inf


class LabelBoard:
    """The labels already placed on a sheet, and what else must stay free."""

    def __init__(self, width: float, height: float) -> None:
        self._sheet = shapely.box(1.5, 1.5, width - 1.5, height - 1.5)
        self._taken: list[BaseGeometry] = []
        self._lines: list[tuple[BaseGeometry, float]] = []

    def keep_free(self, x: float, y: float, radius: float) -> None:
        """Let no label stand on a mark drawn there."""
        self.keep_box_free(x - radius, y - radius, x + radius, y + radius)

    def keep_box_free(self, left: float, top: float, right: float, bottom: float) -> None:
        """Let no label stand in a box."""
        self._taken.append(shapely.box(left, top, right, bottom))

    def avoid(self, line: BaseGeometry, detour: float) -> None:
        """Let a label cross this line only to save a detour that long [pt]."""
        self._lines.append((line, detour))

    def place(self, label: Label, *, may_cross: bool = True) -> str:
        """Return the label drawn where nothing else stands, or '' if there is no such place."""
        found = [(label, self._best(label, may_cross=may_cross))]
        if label.short and label.short != label.text:
            brief = attrs.evolve(label, text=label.short)
            found.append((brief, self._best(brief, may_cross=may_cross)))
        chosen, best = found[0]
        for brief, nearer in found[1:]:
            # Fewer words that stand where they belong tell more than many far off.
            if nearer is not None and (best is None or nearer[0] + label.spared <= best[0]):
                chosen, best = brief, nearer
        if best is None:
            return ""
        self._taken.append(best[1])
        return _leader(chosen, best[1]) + _drawn(chosen, best[1])

    def _best(self, label: Label, *, may_cross: bool) -> tuple[float, shapely.Polygon] | None:
        """Return the best free place and what it costs, in points off the label's own."""
        best: tuple[float, shapely.Polygon] | None = None
        for away, box in _candidates(label):
            if best and away >= best[0]:
                break
            if not self._is_free(box):
                continue
            leader = _leader_line(label, box)
            crossing = sum(detour for line, detour in self._lines if _meets(line, box, leader))
            if (crossing and not may_cross) or self._is_cut(label, leader):
                continue
            if best is None or away + crossing < best[0]:
                best = (away + crossing, box)
        return best

    def _is_free(self, box: BaseGeometry) -> bool:
        return self._sheet.contains(box) and not any(box.intersects(taken) for taken in self._taken)

    def _is_cut(self, label: Label, leader: shapely.LineString | None) -> bool:
        """Whether a leader would strike out what does not stand about its own point."""
        here = shapely.Point(label.x, label.y)
        return leader is not None and any(
            leader.intersects(taken) and taken.distance(here) > 1.0 for taken in self._taken
        )


def _drawn(label: Label, box: shapely.Polygon) -> str:
    left, _top, right, bottom = box.bounds
    letters = svg.Letters(label.size, label.weight, label.fill, _HALO)
    return svg.words(label.text, (left + right) / 2, bottom - 0.27 * label.size, letters, "middle")


def _meets(line: BaseGeometry, box: shapely.Polygon, leader: shapely.LineString | None) -> bool:
    return bool(line.intersects(box)) or (leader is not None and bool(line.intersects(leader)))


def _leader_line(label: Label, box: shapely.Polygon) -> shapely.LineString | None:
    here = shapely.Point(label.x, label.y)
    if box.distance(here) <= label.gap + _NEAR or (label.home and label.home.contains(box)):
        return None
    # Words are a little narrower than their box; a line must reach them.
    words = shapely.affinity.scale(box, 0.97, 0.7)
    return shapely.LineString(shapely.shortest_line(here, words))


def _leader(label: Label, box: shapely.Polygon) -> str:
    line = _leader_line(label, box)
    if line is None:
        return ""
    data = svg.polyline(np.asarray(line.coords))
    casing = svg.element("path", d=data, stroke=PAPER, stroke_width=2.6, stroke_opacity=0.8)
    return casing + svg.element("path", d=data, stroke=label.fill, stroke_width=0.7)


def _candidates(label: Label) -> Iterator[tuple[float, shapely.Polygon]]:
    """Places for a label, nearest first, each with how far off it is [pt]."""
    wide = svg.text_width(label.text, label.size, label.weight) + 2
    high = label.size * 1.1
    gap = label.gap
    if gap == 0.0:
        yield 0.0, _box(label.x, label.y, wide, high)
    while gap <= label.gap + label.reach:
        for favour, (toward_x, toward_y) in enumerate(_DIRECTIONS):
            slant = 0.75 if toward_x and toward_y else 1.0
            x = label.x + toward_x * (gap * slant + wide / 2)
            y = label.y + toward_y * (gap * slant + high / 2)
            yield gap - label.gap + 0.3 * favour, _box(x, y, wide, high)
        gap += _STEP


def _box(x: float, y: float, wide: float, high: float) -> shapely.Polygon:
    return shapely.box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
