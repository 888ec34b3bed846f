"""Airspace lines after the public aeronautical chart convention.

FAA Aeronautical Chart Users' Guide, sectional charts: Class B solid blue, C
solid magenta, D dashed blue, surface area of E dashed magenta; prohibited,
restricted and the like have an edge of short strokes toward the inside.
Width, dash and strokes tell them apart in grey too.
"""

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.drawing import svg
from planner.drawing.ink import CHART_BLUE, CHART_MAGENTA, INK
from planner.drawing.map_sheet import MapSheet
from planner.geo.place import Place
from planner.units import ft_from_m
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit


@attrs.frozen
class LineStyle:
    """How an outline is drawn: colour, width [pt], dashes [pt], inward strokes."""

    colour: str
    width: float
    dashes: str | None = None
    strokes: bool = False


_CHART = {
    AirspaceKind.CLASS_A: LineStyle(CHART_BLUE, 2.4),
    AirspaceKind.CLASS_B: LineStyle(CHART_BLUE, 2.4),
    AirspaceKind.CLASS_C: LineStyle(CHART_MAGENTA, 1.7),
    AirspaceKind.CLASS_D: LineStyle(CHART_BLUE, 1.5, "7 4"),
    AirspaceKind.CLASS_E2: LineStyle(CHART_MAGENTA, 1.3, "4 3"),
    AirspaceKind.CLASS_E3: LineStyle(CHART_MAGENTA, 1.0, "4 3"),
    AirspaceKind.CLASS_E4: LineStyle(CHART_MAGENTA, 1.0, "4 3"),
    AirspaceKind.PROHIBITED: LineStyle(CHART_BLUE, 1.2, strokes=True),
    AirspaceKind.RESTRICTED: LineStyle(CHART_BLUE, 1.2, strokes=True),
    AirspaceKind.WARNING: LineStyle(CHART_BLUE, 1.2, strokes=True),
    AirspaceKind.ALERT: LineStyle(CHART_MAGENTA, 1.2, strokes=True),
    AirspaceKind.NATIONAL_SECURITY: LineStyle(CHART_MAGENTA, 1.2, strokes=True),
    AirspaceKind.MILITARY_OPERATIONS: LineStyle(CHART_MAGENTA, 1.2, strokes=True),
    AirspaceKind.TRAINING_ROUTE: LineStyle(CHART_MAGENTA, 0.7),
    AirspaceKind.PARACHUTE: LineStyle(CHART_MAGENTA, 0.7, "1.5 3"),
    AirspaceKind.GLIDER: LineStyle(CHART_MAGENTA, 0.7, "1.5 3"),
    AirspaceKind.ZONE_OPEN: LineStyle(INK, 0.7, "1.5 3"),
}
_CLOSED = LineStyle(INK, 1.2, strokes=True)
_SLIGHT = LineStyle(CHART_MAGENTA, 0.7, "1.5 3")

KIND_WORDS = {
    AirspaceKind.CLASS_A: "Class A",
    AirspaceKind.CLASS_B: "Class B",
    AirspaceKind.CLASS_C: "Class C",
    AirspaceKind.CLASS_D: "Class D",
    AirspaceKind.CLASS_E2: "Class E surface area",
    AirspaceKind.CLASS_E3: "Class E extension",
    AirspaceKind.CLASS_E4: "Class E extension",
    AirspaceKind.CLASS_E_OTHER: "Class E",
    AirspaceKind.PROHIBITED: "prohibited",
    AirspaceKind.RESTRICTED: "restricted",
    AirspaceKind.SECURITY: "security restriction",
    AirspaceKind.STADIUM: "stadium event",
    AirspaceKind.TEMPORARY: "temporary restriction",
    AirspaceKind.WARNING: "warning area",
    AirspaceKind.MILITARY_OPERATIONS: "military operations",
    AirspaceKind.ALERT: "alert area",
    AirspaceKind.NATIONAL_SECURITY: "national security area",
    AirspaceKind.ZONE_PROHIBITED: "zone closed to unmanned aircraft",
    AirspaceKind.ZONE_PERMISSION: "zone that wants permission or conditions",
    AirspaceKind.ZONE_OPEN: "zone without restriction",
    AirspaceKind.TRAINING_ROUTE: "low-level training route",
    AirspaceKind.PARACHUTE: "parachute jumping",
    AirspaceKind.GLIDER: "gliding",
    AirspaceKind.OTHER: "airspace",
}


def line_style(kind: AirspaceKind) -> LineStyle:
    """Return how the outline of that kind is drawn."""
    if kind in (AirspaceKind.CLASS_E_OTHER, AirspaceKind.OTHER):
        return _SLIGHT
    return _CHART.get(kind, _CLOSED)


def volume_words(volume: AirspaceVolume) -> str:
    """Name a volume as a map label does: 'Class D · surface to 2,500 ft'."""
    return f"{KIND_WORDS[volume.kind]} · {limits_words(volume)}"


def limits_words(volume: AirspaceVolume) -> str:
    """Return floor and top of a volume: 'surface to 2,500 ft'."""
    return f"{_limit(volume.floor)} to {_limit(volume.top)}"


def outline_svg(on_sheet: BaseGeometry, style: LineStyle, sheet: MapSheet) -> str:
    """Return the visible part of an outline (given in points) as SVG."""
    visible = on_sheet.boundary.intersection(sheet.frame_box.buffer(8))
    runs = [np.asarray(line.coords) for line in lines_of(visible)]
    drawn = svg.element(
        "path",
        d=svg.polylines(runs),
        fill="none",
        stroke=style.colour,
        stroke_width=style.width,
        stroke_dasharray=style.dashes,
        stroke_linejoin="round",
    )
    return drawn + (_inward_strokes(on_sheet, visible, style) if style.strokes else "") if runs else ""


def lines_of(shape: BaseGeometry) -> list[shapely.LineString]:
    """Return the line strings in a geometry, joined where they meet."""
    parts = shapely.get_parts(shape)
    strings = [part for part in parts if isinstance(part, shapely.LineString) and part.length > 0]
    if len(strings) < 2:
        return strings
    return list(shapely.get_parts(shapely.line_merge(shapely.MultiLineString(strings))))


def ring_of(places: tuple[Place, ...]) -> shapely.Polygon:
    """Return the polygon of a ring of places, in degrees."""
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in places])


def _inward_strokes(area: BaseGeometry, visible: BaseGeometry, style: LineStyle) -> str:
    strokes = []
    for line in lines_of(visible):
        for along in np.arange(2.0, line.length, 4.5):
            here, ahead = line.interpolate(along), line.interpolate(min(along + 0.5, line.length))
            step = np.array([ahead.x - here.x, ahead.y - here.y])
            length = float(np.hypot(*step))
            if length == 0.0:
                continue
            aside = np.array([-step[1], step[0]]) / length
            for side in (aside, -aside):
                end = np.array([here.x, here.y]) + 4.5 * side
                if area.contains(shapely.Point(end)):
                    strokes.append(np.array([(here.x, here.y), end]))
                    break
    return svg.element("path", d=svg.polylines(strokes), fill="none", stroke=style.colour, stroke_width=0.9)


def _limit(limit: VerticalLimit) -> str:
    match limit.reference:
        case LimitReference.SURFACE:
            return "surface"
        case LimitReference.UNLIMITED:
            return "unlimited"
        case LimitReference.UNKNOWN:
            return "not known"
        case LimitReference.ABOVE_GROUND:
            return f"{ft_from_m(limit.m):,.0f} ft above ground"
        case LimitReference.SEA_LEVEL:
            return f"{ft_from_m(limit.m):,.0f} ft"
