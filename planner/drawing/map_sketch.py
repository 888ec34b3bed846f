"""The map sketch of the briefing: one plan on its terrain, readable in grey."""

import base64
from functools import lru_cache
from weakref import ref

import attrs
import shapely

from planner.assessment import Assessment
from planner.drawing import svg
from planner.drawing.contour_labels import draw_contour_labels
from planner.drawing.ink import HAIR
from planner.drawing.labels import LabelBoard
from planner.drawing.map_beneath import draw_beneath
from planner.drawing.map_chart import ChartDrawing, draw_chart
from planner.drawing.map_guides import draw_guides
from planner.drawing.map_path import PathDrawing, draw_area, draw_path
from planner.drawing.map_people import draw_people
from planner.drawing.map_request import draw_asked
from planner.drawing.map_scale import norths_place, scale_place
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_symbols import norths, scale_bar
from planner.drawing.terrain_picture import PixelGrid, TerrainPicture, terrain_picture
from planner.geo.geodesy import circle_ring
from planner.geo.place import Place
from planner.permission.request import RequestArea
from planner.world.terrain import Terrain

_PIXELS_PER_POINT = 2.6
_SCALE_SHARE = 0.26
_UNKNOWN_GROUND = "#f2f0ea"
_TOUCH_PT = 0.01
"""What a label may pay to stay off the line to twelve o'clock: only heights of contours must."""


def map_sketch(assessment: Assessment, width: float, height: float) -> str:
    """Return the sketch as SVG, `width` by `height` points; '' for a plan without a place."""
    plan = assessment.plan
    places = plan.places()
    if not places:
        return ""
    return sketch_on(MapSheet.around(places, width, height), assessment, Manner())


def request_sketch(assessment: Assessment, asked: RequestArea, width: float, height: float) -> str:
    """Return a sketch of what is asked for, all of its circle on it, as SVG."""
    rim = circle_ring(asked.circle.centre, asked.circle.radius_m)
    sheet = MapSheet.around([*assessment.plan.places(), *rim], width, height)
    return sketch_on(sheet, assessment, Manner(numbers=False, asked=asked))


@attrs.frozen
class Manner:
    """How a sketch is drawn.

    Parameters
    ----------
    declination_deg, declination_words : magnetic north east of true [deg], and how it is written;
        None: only true north is shown.
    you : key of the person whom the sheet calls YOU.
    numbers : whether points without a name show their number.
    marks : places of the path with a letter each, named before anything else of the path.
    facing : where a line leads up to twelve o'clock from; None: no such line.
    landmark : a place and its name.
    asked : what a request asks for.
    """

    declination_deg: float | None = None
    declination_words: str = ""
    you: str = ""
    numbers: bool = True
    marks: tuple[tuple[Place, str], ...] = ()
    facing: Place | None = None
    landmark: tuple[Place, str] | None = None
    asked: RequestArea | None = None


def sketch_on(sheet: MapSheet, assessment: Assessment, manner: Manner) -> str:
    """Return the sketch on that sheet as SVG."""
    width, height = sheet.width, sheet.height
    board = LabelBoard(width, height)
    north = norths_place(sheet, assessment.plan)
    board.keep_box_free(*north.box)
    scale = scale_place(sheet, assessment.plan, _SCALE_SHARE * width, north.box)
    board.keep_box_free(*scale.box)
    chart = draw_chart(assessment.world, sheet, assessment.plan.window)
    area, area_lines = draw_area(assessment.plan, sheet)
    path = draw_path(assessment, sheet)
    beneath, beneath_labels = draw_beneath(assessment.plan, sheet)
    people = draw_people(assessment.plan, sheet, board, manner.you)
    guides, guide_labels, spots = draw_guides(sheet, manner.facing, manner.landmark, manner.marks)
    for spot in spots:
        board.keep_free(*spot, 7.0)
    if manner.facing:
        x, y = sheet.of_place(manner.facing)
        board.avoid(shapely.LineString([(x, y), (x, 0.0)]), _TOUCH_PT)
    _keep_clear(board, chart, path, area_lines, [sheet.of_place(place) for place, _ in manner.marks])
    request, values, corners = draw_asked(manner.asked, sheet) if manner.asked else ("", (), ())
    names = path.names if manner.numbers else ()
    # The corners' numbers stand in a list beside the map: they come before what others are called.
    for corner in corners:
        board.keep_free(corner.x, corner.y, 2.0)
    words = [board.place(label, may_cross=False) for label in corners]
    words += [
        board.place(label)
        for label in (
            *values,
            *people.labels,
            *guide_labels,
            *chart.closed_labels,
            *names,
            *beneath_labels,
            *chart.labels,
        )
    ]
    small = (*path.numbers, *chart.cell_labels) if manner.numbers else chart.cell_labels
    words += [board.place(label, may_cross=False) for label in small]
    furniture = scale_bar(scale.x, scale.y, sheet.points_per_m, _SCALE_SHARE * width)
    furniture += norths(north.x, north.y, sheet.up_deg, manner.declination_deg, manner.declination_words)
    ground, heights = _ground(assessment.world.terrain, sheet, board)
    drawn = (chart.lines, request, area, guides, path.drawn, chart.marks, people.marks)
    layers = (ground, beneath, heights, *drawn, *words, furniture)
    return _framed(sheet, layers)


def _keep_clear(
    board: LabelBoard,
    chart: ChartDrawing,
    path: PathDrawing,
    area_lines: tuple[shapely.LineString, ...],
    marks: list[tuple[float, float]],
) -> None:
    for point in chart.mark_points:
        board.keep_free(*point, 7.0)
    for point in (*path.points, *marks):
        board.keep_free(*point, 2.5)
    for line in area_lines:
        board.avoid(line, 12.0)
    if path.line:
        board.avoid(path.line, 60.0)


def _framed(sheet: MapSheet, layers: tuple[str, ...]) -> str:
    width, height = sheet.width, sheet.height
    sheet_box = svg.element("rect", x=0.0, y=0.0, width=width, height=height)
    edge = svg.element("rect", x=0.3, y=0.3, width=width - 0.6, height=height - 0.6, fill="none", stroke=HAIR)
    return svg.document(
        width,
        height,
        svg.element("defs", svg.element("clipPath", sheet_box, id="sheet")),
        svg.element("g", *layers, clip_path="url(#sheet)"),
        edge,
    )


def _ground(terrain: Terrain | None, sheet: MapSheet, board: LabelBoard) -> tuple[str, str]:
    """Return the ground, and heights on its contour lines where there is room left."""
    paper = svg.element("rect", x=0.0, y=0.0, width=sheet.width, height=sheet.height, fill=_UNKNOWN_GROUND)
    if terrain is None:
        return paper, ""
    columns, rows = (max(2, round(side * _PIXELS_PER_POINT)) for side in (sheet.width, sheet.height))
    pixel_m = 1.0 / sheet.points_per_m / _PIXELS_PER_POINT
    crs = sheet.frame.plane_crs.to_wkt()
    grid = PixelGrid(rows, columns, sheet.pixels_to_plane(pixel_m), crs, pixel_m, 1.1)
    picture = _picture(ref(terrain), grid)
    png = base64.b64encode(picture.png).decode("ascii")
    image = svg.element(
        "image", x=0.0, y=0.0, width=sheet.width, height=sheet.height, href=f"data:image/png;base64,{png}"
    )
    return paper + image, draw_contour_labels(picture.heights_m, picture.interval, _PIXELS_PER_POINT, board)


@lru_cache(maxsize=2)
def _picture(known: "ref[Terrain]", grid: PixelGrid) -> TerrainPicture:
    # A preview asks for the same ground after every edit that moves nothing; the ground of a flight that is
    # closed must not stay with its picture.
    terrain = known()
    assert terrain is not None
    return terrain_picture(terrain, grid)
