"""Training routes, parachute and glider sites near path or area: how far, and in which true direction.

What is itself entered is told by `rules.airspace`; here is what lies beside it. Charts say where others
are low and fast, or fall from the sky, not when: they close nothing.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.flown_places import FlownPlaces
from planner.geo.frame import LocalFrame
from planner.geo.geodesy import bearing, distance_m
from planner.rules.bibliography import give_way_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, away
from planner.rules.near_traffic import NEAR_M, flown_of
from planner.rules.words import along
from planner.world.airspace import AirspaceKind, AirspaceVolume

_TOLD = {
    AirspaceKind.TRAINING_ROUTE: ("low-level training route", "Aircraft on it are fast and low."),
    AirspaceKind.PARACHUTE: ("parachute jumping", "People fall from the sky there, and drift."),
    AirspaceKind.GLIDER: ("gliding", "Gliders are silent, and low when they land or tow."),
}
# The plane is a little wrong far out: the geodesic decides.
_PLANE_DOUBT = 1.01


def near_activity(case: Case) -> Iterator[Finding]:
    """Yield a note for each route or site within 5 statute miles of what is flown, the nearest first."""
    every = flown_of(case)
    if not every:
        return
    frame = every[0].frame
    sites = [one for one in case.world.airspace if one.kind in _TOLD]
    shapes = [(one, shape) for one in sites if not (shape := _in_plane(one.outline, frame)).is_empty]
    found = [(*_nearest(every, shape), one, shape) for one, shape in shapes]
    for apart_m, k, one, shape in sorted(found, key=lambda each: (each[0], each[2].key)):
        if apart_m <= NEAR_M * _PLANE_DOUBT:
            yield from _near(case, every[k], one, shape)


def _nearest(every: Sequence[FlownPlaces], shape: BaseGeometry) -> tuple[float, int]:
    return min((float(flown.outline.distance(shape)), k) for k, flown in enumerate(every))


def _near(case: Case, flown: FlownPlaces, one: AirspaceVolume, shape: BaseGeometry) -> Iterator[Finding]:
    inside = flown.outline.intersects(shape)
    # Of a way inside, where its middle lies tells more than its edge, which is crossed.
    target = shape.representative_point() if inside else shape
    here = flown.nearest_to(target)
    there = shapely.get_point(shapely.shortest_line(shapely.Point(here), target), -1)
    from_place, to_place = flown.place(*here), flown.place(there.x, there.y)
    away_m = distance_m(from_place, to_place)
    if away_m > NEAR_M and not inside:
        return
    toward = bearing(from_place, to_place)
    at_m = None if flown.along_m is None else float(flown.along_m[flown.sample_at(*here)])
    what, why = _TOLD[one.kind]
    listed = f" Charted hours: {one.schedule}." if one.schedule else ""
    yield Finding(
        rule="activity-near",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title=f"{one.name}: {what} {'here' if inside else 'near'}",
        message=f"{_where(at_m, away_m, toward.deg, inside=inside)} {why}{listed}",
        citation=f"{give_way_rule(case.plan.purpose)}; {COMMON_PRACTICE}",
        from_m=at_m,
        to_m=at_m,
        place=from_place,
        numbers={"distance_m": away_m, "toward_true_deg": toward.deg},
    )


def _where(at_m: float | None, away_m: float, toward_deg: float, *, inside: bool) -> str:
    if at_m is None:
        if away_m <= 0.0:
            return "The flying area reaches into it."
        leads = "The flying area reaches into it; a place well inside it is " if inside else ""
        where = "the nearest place of the flying area"
    else:
        leads = "The path leads through it; a place well inside it is " if inside else ""
        where = f"{along(at_m)} along"
    return f"{leads}{away(away_m)} away, {toward_deg:.0f} degrees true from {where}."


def _in_plane(outline: BaseGeometry, frame: LocalFrame) -> BaseGeometry:
    return shapely.transform(
        outline, lambda points: np.column_stack(frame.forward(points[:, 0], points[:, 1]))
    )


RULES = (near_activity,)
