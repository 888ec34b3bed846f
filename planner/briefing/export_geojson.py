"""The flight as GeoJSON (RFC 7946); each height stands in a property that names its reference."""

import numpy as np

from planner.assessment import Assessment
from planner.briefing.export_words import datum_words, export_description, export_name
from planner.briefing.geojson_out import Feature, feature, geojson_text, line, point, polygon
from planner.briefing.words import plain
from planner.geo.heights import Height, reference_of
from planner.geo.place import Place
from planner.track.track import Track


def flight_geojson(assessment: Assessment) -> str:
    """Return the flight as a feature collection: area, path, points, launch, landing, return point, crew."""
    plan = assessment.plan
    features: list[Feature] = []
    if plan.area is not None:
        features.append(
            feature(polygon(plan.area.ring), {"kind": "flying-area", "top": height_value(plan.area.top)})
        )
    if assessment.track is not None:
        features.append(_path(assessment, assessment.track))
    for number, one in enumerate(plan.path, start=1):
        properties = {"kind": "point", "number": number, "name": plain(one.name, 60)}
        features.append(feature(point(one.place), {**properties, "height": height_value(one.height)}))
    for kind, spot in (("launch", plan.launch), ("landing", plan.landing)):
        if spot is not None:
            features.append(feature(point(spot.place), {"kind": kind}))
    if plan.return_point is not None:
        features.append(feature(point(plan.return_point), {"kind": "return-point"}))
    for member in plan.crew:
        if member.place is not None:
            told = {"kind": "crew", "role": member.role.value, "name": plain(member.name, 60)}
            features.append(feature(point(member.place), told))
    landmark = plan.sheet.landmark if plan.sheet else None
    if landmark is not None:
        features.append(
            feature(point(landmark.place), {"kind": "landmark", "name": plain(landmark.name, 60)})
        )
    return geojson_text(features, name=export_name(assessment), description=export_description(assessment))


def height_value(height: Height | None) -> dict[str, object] | None:
    """Return a height with its reference, to the centimetre."""
    return None if height is None else {"m": round(height.m, 2), "reference": reference_of(height)}


def _path(assessment: Assessment, track: Track) -> Feature:
    places = [Place(float(lon), float(lat)) for lon, lat in zip(track.lon_deg, track.lat_deg, strict=True)]
    profile = assessment.profile
    heights = {
        "planned_amsl_m": track.planned_amsl_m,
        "ground_amsl_m": track.ground_amsl_m,
        **({"ceiling_amsl_m": profile.ceiling_amsl_m} if profile is not None else {}),
    }
    told = {
        name: [round(float(value), 2) if np.isfinite(value) else None for value in values]
        for name, values in heights.items()
    }
    return feature(line(places), {"kind": "path", "heights_count_from": datum_words(assessment), **told})
