"""What is asked for, on a map sheet: outline, smallest circle, and facility map cells with their values."""

import numpy as np
import shapely

from planner.drawing import svg
from planner.drawing.chart_lines import lines_of, ring_of
from planner.drawing.ink import CELL_INK, INK, PAPER
from planner.drawing.labels import Label
from planner.drawing.map_sheet import MapSheet
from planner.geo.geodesy import circle_ring
from planner.permission.request import RequestArea
from planner.wording import limit_ft

_CIRCLE_DASH = "7 2.4 1.2 2.4"
_DOT_PT = 1.5


def draw_asked(area: RequestArea, sheet: MapSheet) -> tuple[str, tuple[Label, ...], tuple[Label, ...]]:
    """Return outline, circle and touched cells as SVG, labels of the cells, and numbers of the corners."""
    cells, values = _cells(area, sheet)
    circle = ring_of(circle_ring(area.circle.centre, area.circle.radius_m))
    corners = [sheet.of_place(place) for place in area.ring]
    centre = sheet.of_place(area.circle.centre)
    drawn = (
        cells,
        _line(sheet.outline(circle), 0.9, _CIRCLE_DASH),
        _line(sheet.outline(ring_of(area.ring)), 1.5),
        "".join(svg.element("circle", cx=x, cy=y, r=_DOT_PT, fill=INK) for x, y in corners),
        _cross(*centre),
    )
    numbers = tuple(
        Label(str(number), x, y, 9.0, 500, INK, gap=3.0, reach=5.0)
        for number, (x, y) in enumerate(corners, start=1)
    )
    return "".join(drawn), values, numbers


def _cells(area: RequestArea, sheet: MapSheet) -> tuple[str, tuple[Label, ...]]:
    drawn, labels = [], []
    asked = sheet.outline(ring_of(area.ring))
    for cell in area.cells.cells:
        on_sheet = sheet.outline(cell.outline)
        visible = on_sheet.intersection(sheet.frame_box)
        if visible.is_empty:
            continue
        drawn += [
            svg.element(
                "path",
                d=svg.polyline(np.asarray(line.coords)),
                fill="none",
                stroke=CELL_INK,
                stroke_width=1.3,
            )
            for line in lines_of(on_sheet.boundary)
        ]
        beside = visible.difference(asked)
        anchor = (visible if beside.is_empty else beside).representative_point()
        value = "no value" if cell.ceiling_agl_m is None else limit_ft(cell.ceiling_agl_m)
        labels.append(
            Label(value, anchor.x, anchor.y, 10.5, 700, CELL_INK, gap=0.0, reach=120.0, home=visible)
        )
    return "".join(drawn), tuple(labels)


def _line(outline: shapely.geometry.base.BaseGeometry, width: float, dash: str = "") -> str:
    data = "".join(svg.polyline(np.asarray(line.coords)) for line in lines_of(outline.boundary))
    casing = svg.element(
        "path", d=data, fill="none", stroke=PAPER, stroke_width=width + 1.8, stroke_opacity=0.75
    )
    dashed = {"stroke_dasharray": dash} if dash else {}
    return casing + svg.element("path", d=data, fill="none", stroke=INK, stroke_width=width, **dashed)


def _cross(x: float, y: float) -> str:
    data = f"M{x - 4:.1f} {y:.1f}h8M{x:.1f} {y - 4:.1f}v8"
    return svg.element("path", d=data, fill="none", stroke=INK, stroke_width=1.0)
