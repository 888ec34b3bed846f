"""The map sketch of the briefing: one plan on its terrain, north up, readable in grey."""

import base64

from affine import Affine

from planner.assessment import Assessment
from planner.drawing import svg
from planner.drawing.ink import HAIR
from planner.drawing.labels import LabelBoard
from planner.drawing.map_chart import draw_chart
from planner.drawing.map_path import draw_area, draw_path
from planner.drawing.map_people import draw_people
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_symbols import north_arrow, scale_bar
from planner.drawing.terrain_picture import PixelGrid, terrain_picture
from planner.world.terrain import Terrain

_PIXELS_PER_POINT = 2.6
_SCALE_SHARE = 0.26
_UNKNOWN_GROUND = "#f2f0ea"


def map_sketch(assessment: Assessment, width: float, height: float) -> str:
    """Return the sketch as SVG, `width` by `height` points; '' for a plan without a place."""
    plan = assessment.plan
    places = plan.places()
    if not places:
        return ""
    sheet = MapSheet.around(places, width, height)
    board = LabelBoard(width, height)
    board.keep_box_free(width - 40, 0, width, 46)
    board.keep_box_free(0, height - 28, _SCALE_SHARE * width + 54, height)
    chart = draw_chart(assessment.world, sheet, assessment.plan.window)
    area, area_lines = draw_area(plan, sheet)
    path = draw_path(assessment, sheet)
    people = draw_people(plan, sheet, board)
    for point in chart.mark_points:
        board.keep_free(*point, 7.0)
    for point in path.points:
        board.keep_free(*point, 2.5)
    for line in area_lines:
        board.avoid(line, 12.0)
    if path.line:
        board.avoid(path.line, 60.0)
    words = [
        board.place(label) for label in (*people.labels, *chart.closed_labels, *path.names, *chart.labels)
    ]
    words += [board.place(label, may_cross=False) for label in (*path.numbers, *chart.cell_labels)]
    furniture = scale_bar(10.0, height - 14.0, sheet.points_per_m, _SCALE_SHARE * width)
    furniture += north_arrow(width - 21.0, 9.0)
    ground = _ground(assessment.world.terrain, sheet)
    layers = (ground, chart.lines, area, path.drawn, chart.marks, people.marks, *words, furniture)
    sheet_box = svg.element("rect", x=0.0, y=0.0, width=width, height=height)
    edge = svg.element("rect", x=0.3, y=0.3, width=width - 0.6, height=height - 0.6, fill="none", stroke=HAIR)
    return svg.document(
        width,
        height,
        svg.element("defs", svg.element("clipPath", sheet_box, id="sheet")),
        svg.element("g", *layers, clip_path="url(#sheet)"),
        edge,
    )


def _ground(terrain: Terrain | None, sheet: MapSheet) -> str:
    paper = svg.element("rect", x=0.0, y=0.0, width=sheet.width, height=sheet.height, fill=_UNKNOWN_GROUND)
    if terrain is None:
        return paper
    columns, rows = (max(2, round(side * _PIXELS_PER_POINT)) for side in (sheet.width, sheet.height))
    pixel_m = 1.0 / sheet.points_per_m / _PIXELS_PER_POINT
    to_plane = Affine(pixel_m, 0.0, sheet.west_m, 0.0, -pixel_m, sheet.north_m)
    grid = PixelGrid(rows, columns, to_plane, sheet.frame.plane_crs.to_wkt(), pixel_m, line_px=1.1)
    png = base64.b64encode(terrain_picture(terrain, grid).png).decode("ascii")
    image = svg.element(
        "image", x=0.0, y=0.0, width=sheet.width, height=sheet.height, href=f"data:image/png;base64,{png}"
    )
    return paper + image
