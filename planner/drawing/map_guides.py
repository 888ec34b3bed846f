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
) -> tuple[str, tuple[Label, ...]]:
    """Return lines and marks as SVG, and their labels: letters first."""
    drawn = "" if facing is None else _to_twelve(sheet, facing)
    labels = []
    for place, letter in marks:
        at = sheet.of_place(place)
        labels.append(Label(letter, *at, 10.0, 700, INK, gap=4.0, reach=30.0))
    if landmark is not None:
        at = sheet.of_place(landmark[0])
        if sheet.shows(at, 4.0):
            drawn += _star(*at)
            labels.append(Label(svg.shortened(landmark[1], 20), *at, 9.0, 600, INK, gap=7.0, reach=30.0))
    return drawn, tuple(labels)


def _to_twelve(sheet: MapSheet, facing: Place) -> str:
    x, y = sheet.of_place(facing)
    line = svg.polyline([(x, y), (x, 15.0)])
    drawn = svg.element("path", d=line, stroke=PAPER, stroke_width=2.4, stroke_opacity=0.7)
    drawn += svg.element("path", d=line, stroke=INK, stroke_width=0.7, stroke_dasharray="1.2 3")
    return drawn + svg.words("12", x, 12.0, svg.Letters(11.0, 700, INK, 2.4), "middle")


def _star(x: float, y: float) -> str:
    diamond = svg.polyline([(x, y - 6), (x + 5, y), (x, y + 6), (x - 5, y)], closed=True)
    return svg.element("path", d=diamond, fill=INK, stroke=PAPER, stroke_width=1.2)
