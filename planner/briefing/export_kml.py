"""The flight as KML 2.3: area, path, heights below which it stays, crew, and the airspace about it."""

import numpy as np

from planner.assessment import Assessment
from planner.briefing.export_words import export_description, export_name, point_name, ways_out
from planner.briefing.flight_kml import flight_folder
from planner.briefing.kml import AltitudeMode, Folder, Placemark, Shape, Vertex, kml_text, ring
from planner.briefing.words import plain
from planner.ceiling.profile import CeilingProfile
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.plan.role_words import role_words
from planner.track.track import Track

_AREA_ABGR, _CEILING_ABGR = "ff201f1c", "ff8c6e2d"


def flight_kml(assessment: Assessment) -> str:
    """Return the document; heights above sea level in `absolute` mode, above ground in `relativeToGround`."""
    plan = assessment.plan
    folders = [_area(plan, _launch_m(assessment)), flight_folder(assessment), _points(assessment)]
    folders += [_ceiling(assessment), _spots(plan), _ways_out(plan), _crew(plan)]
    shown = [folder for folder in folders if folder is not None and folder.placemarks]
    return kml_text(export_name(assessment), export_description(assessment), shown)


def _launch_m(assessment: Assessment) -> float:
    if assessment.track is not None:
        return assessment.track.launch_ground_amsl_m
    samples = assessment.case.area_samples if assessment.case else None
    return samples.launch_ground_amsl_m if samples else float("nan")


def kml_height(height: Height | None, launch_m: float) -> tuple[AltitudeMode, float]:
    """Return the mode and the height [m]; on the ground where a height can't be told in KML's terms."""
    match height:
        case AboveGround(m=m):
            return AltitudeMode.ABOVE_GROUND, m
        case AboveSeaLevel(m=m):
            return AltitudeMode.ABOVE_SEA_LEVEL, m
        case AboveLaunch(m=m) if np.isfinite(launch_m):
            return AltitudeMode.ABOVE_SEA_LEVEL, launch_m + m
        case _:
            return AltitudeMode.ON_GROUND, 0.0


def _area(plan: Plan, launch_m: float) -> Folder | None:
    if plan.area is None:
        return None
    mode, height_m = kml_height(plan.area.top, launch_m)
    placemark = Placemark(
        "Flying area", Shape.POLYGON, ring(plan.area.ring, height_m), mode,
        line_abgr=_AREA_ABGR, to_ground=mode is not AltitudeMode.ON_GROUND,
    )  # fmt: skip
    return Folder("Flying area", (placemark,))


def _points(assessment: Assessment) -> Folder | None:
    plan = assessment.plan
    if not plan.path:
        return None
    launch_m = _launch_m(assessment)
    marks = []
    for number, point in enumerate(plan.path):
        mode, height_m = kml_height(point.height, launch_m)
        name = point_name(plan, number)
        marks.append(Placemark(name, Shape.POINT, (Vertex(point.place, height_m),), mode))
    return Folder("Points of the path", tuple(marks))


def _ceiling(assessment: Assessment) -> Folder | None:
    """Return the ceiling along the path as one line for each run where it is known."""
    track, profile = assessment.track, assessment.profile
    if track is None or profile is None:
        return None
    lines = tuple(
        Placemark(
            "Ceiling with the permissions on record", Shape.LINE, vertices,
            AltitudeMode.ABOVE_SEA_LEVEL, line_abgr=_CEILING_ABGR,
        )
        for vertices in _known_runs(track, profile)
    )  # fmt: skip
    return Folder("Ceiling", lines)


def _known_runs(track: Track, profile: CeilingProfile) -> list[tuple[Vertex, ...]]:
    known = np.isfinite(profile.ceiling_amsl_m) & np.isfinite(track.lon_deg)
    steps = np.flatnonzero(np.diff(np.concatenate([[0], known.astype(np.int8), [0]])))
    return [
        tuple(
            Vertex(Place(float(track.lon_deg[k]), float(track.lat_deg[k])), float(profile.ceiling_amsl_m[k]))
            for k in range(first, last)
        )
        for first, last in zip(steps[::2], steps[1::2], strict=True)
        if last - first > 1
    ]


def _spots(plan: Plan) -> Folder:
    spots = (("Launch", plan.launch), ("Landing", plan.landing))
    marks = [Placemark(name, Shape.POINT, (Vertex(spot.place),)) for name, spot in spots if spot]
    if plan.return_point is not None:
        marks.append(Placemark("Return point", Shape.POINT, (Vertex(plan.return_point),)))
    landmark = plan.sheet.landmark if plan.sheet else None
    if landmark is not None:
        name = plain(f"Twelve o’clock: {landmark.name}", 60)
        marks.append(Placemark(name, Shape.POINT, (Vertex(landmark.place),)))
    return Folder("Launch, landing, landmark", tuple(marks))


def _ways_out(plan: Plan) -> Folder:
    marks = (Placemark(name, Shape.POINT, (Vertex(place),)) for name, place in ways_out(plan))
    return Folder("Bail-outs", tuple(marks))


def _crew(plan: Plan) -> Folder:
    return Folder(
        "Crew",
        tuple(
            Placemark(
                plain(f"{role_words(member.role, plan.purpose)} {member.name}", 60),
                Shape.POINT,
                (Vertex(member.place),),
            )
            for member in plan.crew
            if member.place
        ),
    )
