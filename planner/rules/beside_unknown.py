"""Rule on what a flight passes close beside where nobody says which airspace there is."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.permission.besides import BESIDE_M
from planner.rules.beside import FIX_M, nearest_on_path
from planner.rules.bibliography import notices_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.known_airspace import CLOSING_LAYERS, what_is_not_known_at
from planner.rules.undrawn import ways_not_drawn
from planner.rules.unknowns import TABLE, Weight
from planner.rules.words import along, over_ft, room_ft
from planner.track.mapped import NOWHERE, Mapped
from planner.world.currency import LayerState

_SNAP_M = 1.2
"""By so much coverage is taken wider than it is stated (`layers.SNAP_DEG`)."""
_PROBE_M = 0.05


@attrs.frozen(eq=False)
class Hole:
    """Where a part of the flight comes nearest to where airspace is not known, in the plane [m]."""

    of: str
    away_m: float
    x_m: float
    y_m: float
    shape: BaseGeometry


def airspace_not_known_beside(case: Case) -> Iterator[Finding]:
    """Yield what it means that data on airspace end within 20 m of path, area, spots or undrawn ways.

    An unknown within what a satellite fix may be off, else an act. While they do not cover what is drawn
    that is told, and weighs more.
    """
    mapped = case.mapped
    if mapped is None or mapped.airspace_known_in in (None, NOWHERE) or open_anyway(case):
        return
    parts = list(drawn_parts(case, mapped))
    known = mapped.outlines.polygon(int(mapped.airspace_known_in or 0))
    reach_m = BESIDE_M + _SNAP_M
    if not parts or _holds(known, parts, reach_m):
        return
    holes = [hole_beside(known, words, shape) for words, shape in parts]
    # What lies on the path, as a way back along it, is told of the path.
    hole = min(holes, key=lambda one: round(one.away_m, 1))
    if hole.away_m < BESIDE_M:
        yield hole_finding(case, mapped, known, hole)


def open_anyway(case: Case) -> bool:
    """Whether data on airspace are wanting for all of the flight."""
    return any(
        status.layer in CLOSING_LAYERS
        and status.weight is Weight.RESTRICTING
        and status.state is not LayerState.OK
        for status in case.data
    )


def drawn_parts(case: Case, mapped: Mapped) -> Iterator[tuple[str, BaseGeometry]]:
    """Yield what is flown but on lost link, in words, in the plane."""
    track = case.track
    if track is not None and len(track) > 1:
        corners = np.column_stack([track.x_m, track.y_m])
        known = np.isfinite(corners).all(axis=1)
        if known.sum() > 1:
            yield "the path", shapely.LineString(corners[known])
    if case.area_samples is not None and case.area is not None:
        yield "the flying area", case.area_samples.footprint
    if case.spots is not None:
        yield "the launch or landing point", case.spots.footprint
    for way in ways_not_drawn(case, mapped):
        yield f"the way {way.words}", way.line
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    if case.plan.return_point is not None and link_loss is not None and link_loss.action in RETURNS:
        yield "the return point", shapely.Point(mapped.frame.place_to_xy(case.plan.return_point))


def _holds(known: BaseGeometry, parts: list[tuple[str, BaseGeometry]], reach_m: float) -> bool:
    west, south, east, north = shapely.total_bounds([shape for _, shape in parts])
    about = shapely.box(west - reach_m, south - reach_m, east + reach_m, north + reach_m)
    return bool(shapely.covers(known, about))


def hole_beside(known: BaseGeometry, words: str, shape: BaseGeometry) -> Hole:
    """Return how near a part of the flight comes to the end of what is known, 0 where it lies beyond."""
    beyond = shapely.difference(shape, known)
    if not beyond.is_empty:
        there = shapely.point_on_surface(beyond)
        return Hole(words, 0.0, there.x, there.y, shape)
    nearest = shapely.shortest_line(shape, shapely.boundary(known))
    edge = shapely.get_coordinates(nearest)[-1]
    return Hole(words, max(float(nearest.length) - _SNAP_M, 0.0), float(edge[0]), float(edge[1]), shape)


def hole_finding(case: Case, mapped: Mapped, known: BaseGeometry, hole: Hole) -> Finding:
    """Return the finding that data on airspace end so near: an unknown within what a fix may be off."""
    what = _missing(case, mapped, known, hole)
    unknown = hole.away_m < FIX_M
    why = (
        "A satellite fix alone may be off by more, so nobody can say which airspace the flight is in."
        if unknown
        else "Which airspace is there nobody can say: neither an aircraft nor a chart is placed exactly."
    )
    track = case.track if hole.of == "the path" else None
    at = None
    if track is not None:
        at = nearest_on_path(
            case,
            track,
            np.ones(len(track), dtype=bool),
            shapely.Point(hole.x_m, hole.y_m),
            BESIDE_M + _SNAP_M,
        )
    where = f"At {along(at.along_m)} data" if at else "Data"
    return Finding(
        rule="no-data-beside",
        mark=Mark.UNKNOWN if unknown else Mark.ACT,
        basis=Basis.LAW if unknown else Basis.SAFETY,
        title=f"Data on airspace end close beside {hole.of}",
        message=f"{where} on {what} end {room_ft(hole.away_m)} beside {hole.of}. {why}",
        citation=notices_rule(case.plan.purpose) if unknown else "common practice",
        remedy=f"load current data on {what} that cover more, or stay {over_ft(BESIDE_M)} inside",
        from_m=at.along_m if at else None,
        to_m=at.along_m if at else None,
        place=at.place if at else mapped.frame.xy_to_place(hole.x_m, hole.y_m),
        numbers={"aside_m": hole.away_m},
    )


def _missing(case: Case, mapped: Mapped, known: BaseGeometry, hole: Hole) -> str:
    """Return which data are missing in a hole, in words."""
    about = shapely.difference(shapely.Point(hole.x_m, hole.y_m).buffer(_PROBE_M), known)
    there = shapely.point_on_surface(about) if not about.is_empty else shapely.Point(hole.x_m, hole.y_m)
    place = mapped.frame.xy_to_place(there.x, there.y)
    lacking = what_is_not_known_at(case.world.layers, case.plan.window, place)
    return ", ".join(row.what for row in TABLE if row.layer in lacking) or "airspace"


RULES = (airspace_not_known_beside,)
