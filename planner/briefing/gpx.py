"""The path as GPX 1.1: waypoints, a route of the points, a track of the samples.

The schema (topografix.com/GPX/1/1, standing: its published XSD from memory)
orders elements and wants `lat`, `lon` as attributes; `ele` is in metres and
its datum is not stated, so the file says it: above mean sea level, by the
terrain's own datum.
"""

from datetime import UTC, datetime
from xml.etree import ElementTree as Xml

import numpy as np

from planner.assessment import Assessment
from planner.briefing.export_words import export_description, export_name, point_name, ways_out
from planner.briefing.words import plain
from planner.geo.place import Place
from planner.plan.role_words import role_words
from planner.track.track import Track

NAMESPACE = "http://www.topografix.com/GPX/1/1"
_DIGITS = 7


def flight_gpx(assessment: Assessment) -> str:
    """Return the document. Heights are left out where they are not known."""
    root = Xml.Element("gpx", {"xmlns": NAMESPACE, "version": "1.1", "creator": "Lowline"})
    plan, track = assessment.plan, assessment.track
    metadata = Xml.SubElement(root, "metadata")
    _text(metadata, "name", export_name(assessment))
    _text(metadata, "desc", export_description(assessment))
    if plan.window is not None:
        _text(metadata, "time", _moment(plan.window.start_utc))
    for name, place in _waypoints(assessment):
        _text(_point(root, "wpt", place, None), "name", name)
    if plan.path:
        route = Xml.SubElement(root, "rte")
        _text(route, "name", "Points of the path")
        heights_m = _heights_of_points(assessment)
        for number, (point, height_m) in enumerate(zip(plan.path, heights_m, strict=True)):
            element = _point(route, "rtept", point.place, height_m)
            _text(element, "name", point_name(plan, number))
    if track is not None:
        _track(root, track)
    Xml.indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{Xml.tostring(root, encoding="unicode")}\n'


def _waypoints(assessment: Assessment) -> list[tuple[str, Place]]:
    plan = assessment.plan
    named = [("launch", plan.launch), ("landing", plan.landing)]
    marks = [(name, spot.place) for name, spot in named if spot]
    marks += [("return point", plan.return_point)] if plan.return_point else []
    people = [
        (plain(f"{role_words(one.role, plan.purpose)} {one.name}", 60), one.place)
        for one in plan.crew
        if one.place
    ]
    landmark = plan.sheet.landmark if plan.sheet else None
    twelve = [(plain(landmark.name, 60), landmark.place)] if landmark else []
    return [*marks, *people, *ways_out(plan), *twelve]


def _heights_of_points(assessment: Assessment) -> list[float]:
    track, points = assessment.track, assessment.plan.path
    if track is None or len(track.point_sample) != len(points):
        return [float("nan")] * len(points)
    return [float(height_m) for height_m in track.planned_amsl_m[track.point_sample]]


def _track(root: Xml.Element, track: Track) -> None:
    element = Xml.SubElement(root, "trk")
    _text(element, "name", "Planned path, above mean sea level")
    segment = Xml.SubElement(element, "trkseg")
    # At a crossing the axis repeats a place: before and after.
    same = np.diff(track.lon_deg, prepend=np.nan) == 0
    same &= np.diff(track.lat_deg, prepend=np.nan) == 0
    same &= np.diff(track.planned_amsl_m, prepend=np.nan) == 0
    for k in np.flatnonzero(~same):
        place = Place(float(track.lon_deg[k]), float(track.lat_deg[k]))
        _point(segment, "trkpt", place, float(track.planned_amsl_m[k]))


def _point(parent: Xml.Element, tag: str, place: Place, height_m: float | None) -> Xml.Element:
    degrees = {"lat": f"{place.lat_deg:.{_DIGITS}f}", "lon": f"{place.lon_deg:.{_DIGITS}f}"}
    element = Xml.SubElement(parent, tag, degrees)
    if height_m is not None and np.isfinite(height_m):
        _text(element, "ele", f"{height_m:.2f}")
    return element


def _moment(at_utc: datetime) -> str:
    return at_utc.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _text(parent: Xml.Element, tag: str, text: str) -> None:
    Xml.SubElement(parent, tag).text = plain(text, 4000)
