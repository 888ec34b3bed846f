"""What to enter in requests for permission: as a sheet of paper, as KML, as GeoJSON."""

from datetime import datetime
from pathlib import Path
from typing import Any

import attrs

from planner.assessment import Assessment
from planner.atomic import write_bytes
from planner.briefing import geojson_out, kml
from planner.briefing.ask_late import ask_late
from planner.briefing.asked_anew import asked_anew
from planner.briefing.briefing import stamps
from planner.briefing.flight_kml import flight_folder
from planner.briefing.front_page import heading
from planner.briefing.out_name import keep_plans
from planner.briefing.request_words import RequestText, cells_words, request_text, typed_agl_m, utc_words
from planner.briefing.typesetting import typeset
from planner.briefing.words import plain
from planner.drawing.map_sketch import request_sketch
from planner.errors import OutputError
from planner.geo.geodesy import circle_ring
from planner.geo.place import Place
from planner.permission.need import Rise
from planner.permission.request import AirspaceRequest, radius_nm, requests_of
from planner.rules.finding import Mark
from planner.rules.flown_besides import besides_asked_about
from planner.rules.inquiry_uses import inquiry_uses
from planner.units import NAUTICAL_MILE_M
from planner.wording import CAUTIONS, distance

_MAP_SIDE = 250.0
_CIRCLE_ABGR = "ff8c6e2d"
NOTHING_TO_ASK = "The plan enters no airspace for which anything would have to be asked."
NOTHING_FOUND = (
    "Nothing to ask for is found, but something that could ask for it is not known: {reason} "
    "Settle that first; this sheet permits nothing."
)
UNJUDGED = "The plan has no place yet, so it can't be said what has to be asked."


def requests_for(
    assessment: Assessment, margin_m: float | None = None, now_utc: datetime | None = None
) -> tuple[AirspaceRequest, ...]:
    """Return the requests of an assessed plan, recorded ones included; `margin_m` as in `requests_of`.

    What is on record is asked for as if it were not.
    `now_utc` is when it is asked: it decides which of the usual times to ask have passed, nothing else.
    """
    found = asked_anew(assessment, _requests(assessment, margin_m), lambda one: _requests(one, margin_m))
    return tuple(attrs.evolve(one, asked_utc=now_utc) for one in found)


def _requests(assessment: Assessment, margin_m: float | None) -> tuple[AirspaceRequest, ...]:
    scene = assessment.scene
    if scene is None:
        return ()
    asked_about = inquiry_uses(assessment.case)
    return requests_of(
        scene.plan,
        scene.mapped,
        (*scene.uses, *asked_about),
        assessment.track,
        assessment.world.aerodromes,
        margin_m=margin_m,
        besides=besides_asked_about(assessment.case, asked_about),
    )


def write_request(
    assessment: Assessment, path: Path, margin_m: float | None = None, now_utc: datetime | None = None
) -> tuple[str, ...]:
    """Write the requests of a plan in the format that the file's name asks for: .pdf, .kml or .geojson.

    Return which of the usual times to ask have passed or are still to come, in words.

    Raises
    ------
    OutputError
        If the name ends otherwise or the file can't be written.
    """
    found = requests_for(assessment, margin_m, now_utc)
    match path.suffix.casefold():
        case ".pdf":
            data = request_pdf(assessment, found)
        case ".kml":
            data = request_kml(assessment, found).encode()
        case ".geojson" | ".json":
            data = request_geojson(assessment, found).encode()
        case _:
            raise OutputError(
                "a request is written as .pdf, .kml or .geojson",
                where=str(path),
                remedy="let the file's name end in one of them",
            )
    keep_plans(path)
    write_bytes(path, data)
    return tuple(
        f"{plain(one.need.airspace, 80)}: {words}" for one in found for words in ask_late(one, now_utc)
    )


def request_pdf(assessment: Assessment, requests: tuple[AirspaceRequest, ...]) -> bytes:
    """Return the sheet: one page or more for each request. The same plan and data give the same bytes."""
    window = assessment.plan.window
    values = {
        "stamps": stamps(assessment),
        **heading(assessment),
        "nothing": "" if requests else _nothing(assessment),
        "map_width": _MAP_SIDE,
        "requests": [_sheet(request, assessment) for request in requests],
        "cautions": list(CAUTIONS),
    }
    return typeset(values, window.start_utc if window else None, "request.typ")


def _nothing(assessment: Assessment) -> str:
    if assessment.scene is None:
        return UNJUDGED
    unknown = [finding for finding in assessment.findings if finding.mark is Mark.UNKNOWN]
    return NOTHING_FOUND.format(reason=f"{plain(unknown[0].title)}.") if unknown else NOTHING_TO_ASK


def _sheet(request: AirspaceRequest, assessment: Assessment) -> dict[str, Any]:
    text: RequestText = request_text(request, assessment.plan)
    return {
        "map": request_sketch(assessment, request.area, _MAP_SIDE, _MAP_SIDE),
        "title": text.title,
        "route": text.route,
        "recorded": text.recorded,
        "rows": [list(row) for row in text.rows],
        "margin": distance(request.area.margin_m),
        "holds": text.holds,
        "corners": list(text.corners),
        "warnings": list(text.warnings),
        "paste": text.paste.splitlines(),
    }


def request_kml(assessment: Assessment, requests: tuple[AirspaceRequest, ...]) -> str:
    """Return outlines, circles and the flight as KML; outlines reach up to the height to be typed."""
    folders = [_kml_folder(request, assessment) for request in requests]
    flight = flight_folder(assessment)
    description = " · ".join([*stamps(assessment), *CAUTIONS[:1]])
    name = f"Request: {heading(assessment)['title']}"
    return kml.kml_text(name, description, [*folders, *([flight] if flight else [])])


def _kml_folder(request: AirspaceRequest, assessment: Assessment) -> kml.Folder:
    text = request_text(request, assessment.plan)
    high_m = typed_agl_m(request)
    mode = kml.AltitudeMode.ON_GROUND if high_m is None else kml.AltitudeMode.ABOVE_GROUND
    outline = kml.Placemark(
        name=f"{text.title}, outline asked for",
        shape=kml.Shape.POLYGON,
        vertices=kml.ring(request.area.ring, high_m or 0.0),
        mode=mode,
        description=text.route,
        data=text.rows,
        to_ground=True,
    )
    circle = request.area.circle
    rim = kml.Placemark(
        name=f"{text.title}, smallest circle, radius {radius_nm(circle):.2f} NM",
        shape=kml.Shape.POLYGON,
        vertices=kml.ring(_circle(request), high_m or 0.0),
        mode=mode,
        line_abgr=_CIRCLE_ABGR,
    )
    centre = kml.Placemark(
        name=f"Centre, radius {radius_nm(circle):.2f} NM",
        shape=kml.Shape.POINT,
        vertices=(kml.Vertex(circle.centre),),
        line_abgr=_CIRCLE_ABGR,
    )
    return kml.Folder(text.title, (outline, rim, centre))


def _circle(request: AirspaceRequest) -> tuple[Place, ...]:
    """Return the circle as it is to be typed: its radius is rounded up to hundredths of a mile."""
    circle = request.area.circle
    return circle_ring(circle.centre, radius_nm(circle) * NAUTICAL_MILE_M)


def request_geojson(assessment: Assessment, requests: tuple[AirspaceRequest, ...]) -> str:
    """Return outlines, circles and their centres as GeoJSON."""
    features = [feature for request in requests for feature in _features(request, assessment)]
    return geojson_out.geojson_text(features, name=plain(assessment.plan.name, 80), stamps=stamps(assessment))


def _features(request: AirspaceRequest, assessment: Assessment) -> list[geojson_out.Feature]:
    need, area = request.need, request.area
    text = request_text(request, assessment.plan)
    about = {
        "airspace": need.airspace,
        "class": need.airspace_class,
        "ident": request.ident,
        "airports": [{"name": airport.name, "ident": airport.ident} for airport in request.airports],
        "route": need.route.value,
        "recorded": need.references or None,
        "highest_agl_m": request.highest_agl_m,
        "on_ways_not_drawn_above_m": request.way_rise_m,
        "on_lost_link_above_m": request.rise_m if request.rise is Rise.ON_LOST_LINK else 0.0,
        "as_flown_above_m": request.rise_m if request.rise is Rise.AS_FLOWN else 0.0,
        "may_reach_agl_m": request.may_reach_agl_m,
        "to_type_agl_m": typed_agl_m(request),
        "lowest_cell_agl_m": area.cells.ceiling_agl_m,
        "cells": cells_words(area.cells),
        "start_utc": utc_words(request.start_utc) if request.start_utc else None,
        "end_utc": utc_words(request.end_utc) if request.end_utc else None,
        "margin_m": area.margin_m,
        "warnings": list(text.warnings),
        "paste": text.paste,
    }
    circle = {
        "airspace": need.airspace,
        "radius_m": round(area.circle.radius_m, 2),
        "radius_nm": radius_nm(area.circle),
    }
    return [
        geojson_out.feature(geojson_out.polygon(area.ring), {"role": "outline", **about}),
        geojson_out.feature(geojson_out.polygon(_circle(request)), {"role": "circle", **circle}),
        geojson_out.feature(geojson_out.point(area.circle.centre), {"role": "centre", **circle}),
    ]
