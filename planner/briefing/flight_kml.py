"""The planned path as KML, each leg in the height that it is flown in."""

import numpy as np

from planner.assessment import Assessment
from planner.briefing.export_words import leg_name
from planner.briefing.kml import AltitudeMode, Folder, Placemark, Shape, Vertex
from planner.geo.place import Place
from planner.plan.geometry import LegShape
from planner.track.track import Track


def flight_folder(assessment: Assessment) -> Folder | None:
    """Return the legs of the path, None without a path of known height.

    Straight legs count from sea level. Legs that follow the ground count from
    the ground and have a vertex at every sample, so that a viewer with ground
    of its own draws them over it.
    """
    track = assessment.track
    if track is None or not np.isfinite(track.planned_agl_m).all():
        return None
    legs = [_leg(assessment, track, number) for number in range(len(track.point_sample) - 1)]
    return Folder("Planned path", tuple(legs))


def _leg(assessment: Assessment, track: Track, number: int) -> Placemark:
    samples = np.flatnonzero(track.leg == number)
    point = assessment.plan.path[number]
    follows = point.leg.shape is LegShape.FOLLOW_GROUND
    kept = samples if follows else samples[[0, -1]]
    heights_m = track.planned_agl_m if follows else track.planned_amsl_m
    return Placemark(
        name=leg_name(assessment.plan, number),
        shape=Shape.LINE,
        vertices=tuple(
            Vertex(Place(float(track.lon_deg[k]), float(track.lat_deg[k])), float(heights_m[k])) for k in kept
        ),
        mode=AltitudeMode.ABOVE_GROUND if follows else AltitudeMode.ABOVE_SEA_LEVEL,
    )
