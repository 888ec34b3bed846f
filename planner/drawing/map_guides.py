"""What helps to read a map in the field: the line to twelve o'clock, the landmark, letters along the path."""

from collections.abc import Sequence

from planner.drawing import svg
from planner.drawing.ink import INK, PAPER
from planner.drawing.labels import Label
from planner.drawing.map_sheet import MapSheet
from planner.geo.place import Place


def draw_guides(
    sheet: MapSheet,
    facing: Place | None,
    landmark: tuple[Place, str] | None,
    marks: Sequence[tuple[Place, str]],
) -> tuple[str, tuple[Label, ...], tuple[tuple[float, float], ...]]:
    """Return lines and marks as SVG, their labels, the most telling first, and the marks' spots."""
    drawn, labels, spots = "", [], []
    if facing is not None:
        x, y = sheet.of_place(facing)
        drawn += _to_twelve(x, y)
        labels.append(Label("12", x, 8.0, 11.0, 700, INK, gap=0.0, reach=30.0))
    for place, letter in marks:
        at = sheet.of_place(place)
        labels.append(Label(letter, *at, 10.0, 700, INK, gap=4.0, reach=30.0))
    if landmark is not None:
        at = sheet.of_place(landmark[0])
        if sheet.shows(at, 4.0):
            drawn += _star(*at)
            spots.append(at)
            labels.append(Label(svg.shortened(landmark[1], 20), *at, 9.0, 600, INK, gap=7.0, reach=30.0))
    return drawn, tuple(labels), tuple(spots)


def _to_twelve(x: float, y: float) -> str:
    line = svg.polyline([(x, y), (x, 15.0)])
    drawn = svg.element("path", d=line, stroke=PAPER, stroke_width=2.4, stroke_opacity=0.7)
    return drawn + svg.element("path", d=line, stroke=INK, stroke_width=0.7, stroke_dasharray="1.2 3")


def _star(x: float, y: float) -> str:
    diamond = svg.polyline([(x, y - 6), (x + 5, y), (x, y + 6), (x - 5, y)], closed=True)
    return svg.element("path", d=diamond, fill=INK, stroke=PAPER, stroke_width=1.2)
