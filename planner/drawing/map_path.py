"""The planned path and the flying area on a map sheet."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.drawing import svg
from planner.drawing.chart_lines import lines_of, ring_of
from planner.drawing.ink import INK, PAPER
from planner.drawing.labels import Label
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_symbols import arrows_along, point_mark
from planner.drawing.path_pattern import stretches
from planner.drawing.path_strokes import cut_between, draw_stretch
from planner.drawing.patterns import Pattern
from planner.plan.model import Plan
from planner.track.track import Track

Floats = NDArray[np.float64]

_ARROW_SPACING = 62.0
_NAME_LETTERS = 18


@attrs.frozen(eq=False)
class PathDrawing:
    """The path as SVG, its line for labels to avoid, names first and numbers after."""

    drawn: str
    line: shapely.LineString | None
    points: tuple[tuple[float, float], ...]
    names: tuple[Label, ...]
    numbers: tuple[Label, ...]


def draw_path(assessment: Assessment, sheet: MapSheet) -> PathDrawing:
    """Return the path of the plan; without a track its points are joined as planned."""
    plan = assessment.plan
    spots = [sheet.of_place(point.place) for point in plan.path]
    points = np.array(spots).reshape(-1, 2)
    whole = _whole(assessment.track, sheet) if assessment.track else points
    drawn = _stretches(assessment, whole) if assessment.track else ""
    if not drawn and len(whole) > 1:
        drawn = draw_stretch(whole, Pattern.UNKNOWN)
    drawn += arrows_along(points, _ARROW_SPACING)
    drawn += "".join(point_mark(*at) for at in spots)
    names = [
        Label(svg.shortened(f"{number} {point.name}", _NAME_LETTERS), at[0], at[1], 10.5, 600, INK, gap=6.0)
        for number, (point, at) in enumerate(zip(plan.path, spots, strict=True), start=1)
        if point.name.strip()
    ]
    numbers = [
        Label(str(number), at[0], at[1], 10.0, 500, INK, gap=5.0, reach=5.0)
        for number, (point, at) in enumerate(zip(plan.path, spots, strict=True), start=1)
        if not point.name.strip()
    ]
    line = shapely.LineString(whole) if len(whole) > 1 else None
    return PathDrawing(drawn, line, tuple(spots), tuple(names), tuple(numbers))


def draw_area(plan: Plan, sheet: MapSheet) -> tuple[str, tuple[shapely.LineString, ...]]:
    """Return the flying area's dashed outline, and its lines for labels to avoid."""
    if plan.area is None:
        return "", ()
    edge = sheet.outline(ring_of(plan.area.ring)).boundary
    return _area_line(svg.polyline(np.asarray(lines_of(edge)[0].coords))), tuple(lines_of(edge))


def area_key(width: float = 34.0, height: float = 12.0) -> str:
    """Return a small picture of the flying area's outline, for a legend."""
    return svg.document(width, height, _area_line(svg.polyline([(1, height / 2), (width - 1, height / 2)])))


def _area_line(data: str) -> str:
    casing = svg.element("path", d=data, fill="none", stroke=PAPER, stroke_width=2.6, stroke_opacity=0.7)
    return casing + svg.element(
        "path", d=data, fill="none", stroke=INK, stroke_width=0.9, stroke_dasharray="3 2.4"
    )


def _whole(track: Track, sheet: MapSheet) -> Floats:
    return sheet.of_degrees(track.lon_deg, track.lat_deg)


def _stretches(assessment: Assessment, whole: Floats) -> str:
    track = assessment.track
    if track is None or not np.isfinite(track.distance_m).all():
        return ""
    drawn = []
    for stretch in sorted(stretches(assessment), key=lambda stretch: stretch.pattern):
        run = cut_between(track.distance_m, whole, stretch.from_m, stretch.to_m)
        drawn.append(draw_stretch(run, stretch.pattern))
    return "".join(drawn)
