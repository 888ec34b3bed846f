"""Training routes, parachute and glider sites near the path: how far, and in which true direction.

What the path itself enters is told by `rules.airspace`; here is what lies beside it. Charts say where others
are low and fast, or fall from the sky, not when: they close nothing.
"""

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.geodesy import bearing, distance_m
from planner.rules.bibliography import give_way_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, miles
from planner.rules.near_traffic import NEAR_M
from planner.rules.words import along
from planner.track.track import Track
from planner.world.airspace import AirspaceKind, AirspaceVolume

_TOLD = {
    AirspaceKind.TRAINING_ROUTE: ("low-level training route", "Aircraft on it are fast and low."),
    AirspaceKind.PARACHUTE: ("parachute jumping", "People fall from the sky there, and drift."),
    AirspaceKind.GLIDER: ("gliding", "Gliders are silent, and low when they land or tow."),
}
# The plane is a little wrong far out: the geodesic decides.
_PLANE_DOUBT = 1.01


def near_activity(case: Case) -> Iterator[Finding]:
    """Yield a note for each route or site within 5 statute miles of the path, the nearest first."""
    track = case.track
    if track is None or not len(track):
        return
    way = _way(track)
    found = [
        (float(way.distance(shape)), one, shape)
        for one in case.world.airspace
        if one.kind in _TOLD and not (shape := _in_plane(one.outline, track.frame)).is_empty
    ]
    for apart_m, one, shape in sorted(found, key=lambda each: (each[0], each[1].key)):
        if apart_m <= NEAR_M * _PLANE_DOUBT:
            yield from _near(case, track, (way, one, shape))


def _near(
    case: Case, track: Track, met: tuple[BaseGeometry, AirspaceVolume, BaseGeometry]
) -> Iterator[Finding]:
    way, one, shape = met
    inside = way.intersects(shape)
    # Of a way inside, where its middle lies tells more than its edge, which is crossed.
    target = shape.representative_point() if inside else shape
    here, there = (shapely.get_point(shapely.shortest_line(way, target), k) for k in (0, 1))
    from_place = track.frame.xy_to_place(here.x, here.y)
    to_place = track.frame.xy_to_place(there.x, there.y)
    away_m = distance_m(from_place, to_place)
    if away_m > NEAR_M and not inside:
        return
    toward = bearing(from_place, to_place)
    at = int(np.argmin(np.hypot(track.x_m - here.x, track.y_m - here.y)))
    at_m = float(track.distance_m[at])
    what, why = _TOLD[one.kind]
    where = "The path leads through it; a place well inside it is " if inside else ""
    listed = f" Charted hours: {one.schedule}." if one.schedule else ""
    yield Finding(
        rule="activity-near",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title=f"{one.name}: {what} {'here' if inside else 'near'}",
        message=f"{where}{miles(away_m)} away, {toward.deg:.0f} degrees true from "
        f"{along(at_m)} along. {why}{listed}",
        citation=f"{give_way_rule(case.plan.purpose)}; {COMMON_PRACTICE}",
        from_m=at_m,
        to_m=at_m,
        place=from_place,
        numbers={"distance_m": away_m, "toward_true_deg": toward.deg},
    )


def _way(track: Track) -> BaseGeometry:
    points = np.column_stack([track.x_m, track.y_m])
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])


def _in_plane(outline: BaseGeometry, frame: LocalFrame) -> BaseGeometry:
    return shapely.transform(
        outline, lambda points: np.column_stack(frame.forward(points[:, 0], points[:, 1]))
    )


RULES = (near_activity,)
