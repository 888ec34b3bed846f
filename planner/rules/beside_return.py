"""Rule on what an action on lost link passes close beside, or comes down beside, and does not enter."""

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.flight.upright import Upright, ways_down
from planner.flight.way_home import LossWays
from planner.geo.near_lines import lines_near
from planner.geo.parts_inside import places_inside
from planner.permission.at_edge import at_heights_of_edge, counts_from_ground, nearest_edge
from planner.permission.besides import BESIDE_M
from planner.permission.entries import is_active
from planner.permission.inquiry import inquired_of
from planner.rules.beside import Beside, close_beside, is_open, nearest_part
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.flown import flown
from planner.rules.lost_ways import comes_into, losses_of
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ALONG = np.linspace(0.0, 1.0, 65)


def return_close_beside(case: Case) -> Iterator[Finding]:
    """Yield what it means that a way on lost link leads close beside what neither it nor the flight enters.

    As of the flight itself: open beside what is closed, within what a satellite fix may be off, else an act.
    """
    if case.mapped is None:
        return
    used = {column for use in case.uses if not use.need.not_drawn for column in use.volumes}
    for loss, _ in losses_of(case):
        for column in near_ways(case.mapped, loss):
            volume = case.mapped.airspace.get(column)
            if volume is None or column in used or not closes_or_asks(case, volume):
                continue
            outline = case.mapped.outlines.polygon(column)
            if loss.failsafe.action in RETURNS:
                near = nearest_of_return(case.mapped, loss, outline, volume)
            else:
                near = nearest_down(case.mapped, ways_down(loss), outline, volume)
            if near is None or flown(case, column, volume) or comes_into(case, column, volume):
                continue
            if _told_of_the_flight(case, column, volume, near):
                continue
            used.add(column)
            yield close_beside(case, volume, near, open_question=is_open(case, column, volume, near))


def _told_of_the_flight(case: Case, column: int, volume: AirspaceVolume, near: Beside) -> bool:
    """Whether the flight itself is told to be close beside it, and left as open by that."""
    itself = nearest_part(case, column, volume)
    if itself is None:
        return False
    return is_open(case, column, volume, itself) or not is_open(case, column, volume, near)


def closes_or_asks(case: Case, volume: AirspaceVolume) -> bool:
    """Whether a volume may be entered only with somebody's leave in the plan's window."""
    closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
    return (closes or inquired_of(volume, case.plan.purpose)) and is_active(volume, case.plan.window)


def near_ways(mapped: Mapped, loss: LossWays) -> list[int]:
    """Return the columns of the outlines near what is done on lost link."""
    x_m, y_m = loss.corner_x_m, loss.corner_y_m
    box = np.array([np.nanmin(x_m), np.nanmin(y_m), np.nanmax(x_m), np.nanmax(y_m)])
    return [int(one) for one in mapped.outlines.columns_near(box + BESIDE_M * np.array([-1, -1, 1, 1]))]


def nearest_of_return(
    mapped: Mapped, loss: LossWays, outline: BaseGeometry, volume: AirspaceVolume
) -> Beside | None:
    """Return where a return comes nearest to an outline at heights of it and the airspace, None if not close.

    It is asked at its level, where it climbs from the height at which the link is lost, and down at home.
    """
    begin, home = (np.column_stack([loss.corner_x_m[:, k], loss.corner_y_m[:, k]]) for k in (1, 3))
    level_m, low_m = loss.corner_amsl_m[:, 2], loss.corner_amsl_m[:, 1]
    ground = np.full(len(level_m), -np.inf)
    end = home[:1]
    parts = (
        ("Where the aircraft comes down by itself on lost link it is", end, end, ground),
        ("Where its return on lost link climbs it is", begin, begin, low_m),
        ("Its way home on lost link is", begin, home, level_m),
    )
    found = [
        _part(mapped, outline, volume, words, (starts, ends), (from_m[: len(starts)], level_m))
        for words, starts, ends, from_m in parts
    ]
    return min((one for one in found if one), key=lambda one: round(one.away_m, 1), default=None)


def nearest_down(
    mapped: Mapped, down: Upright, outline: BaseGeometry, volume: AirspaceVolume
) -> Beside | None:
    """Return where what stays, and comes down where it is, comes nearest; None if not close."""
    here = np.column_stack([down.x_m, down.y_m])
    words = "Where the aircraft comes down by itself on lost link it is"
    # Down to the ground: beside a cliff to its foot.
    to_ground = np.full(len(down.low_m), -np.inf)
    return _part(mapped, outline, volume, words, (here, here), (to_ground, down.high_m))


def _part(
    mapped: Mapped,
    outline: BaseGeometry,
    volume: AirspaceVolume,
    words: str,
    ways: tuple[Floats, Floats],
    heights: tuple[Floats, Floats],
) -> Beside | None:
    """Return where one part of the returns comes nearest: straight ways on the map, from and to heights."""
    starts, ends = ways
    from_m, level_m = heights
    # Of what leads to one place the highest stands for all.
    to_m = np.full(len(starts), np.max(level_m)) if len(starts) < len(level_m) else level_m
    lines = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)))
    close = np.flatnonzero(lines_near(outline, lines, BESIDE_M))
    if not len(close):
        return None
    which, places = _asked_at(volume, outline, lines, close)
    points = np.asarray(shapely.points(places))
    away_m = np.asarray(shapely.distance(points, outline))
    edge = nearest_edge(outline, points)
    reached = at_heights_of_edge(mapped, volume, edge, to_m[which], from_m[which]) & (away_m <= BESIDE_M)
    if not reached.any():
        return None
    k = int(np.argmin(np.where(reached, away_m, np.inf)))
    place = mapped.frame.xy_to_place(*places[k].tolist())
    return Beside(words, float(away_m[k]), place, float(to_m[which][k]))


def _asked_at(
    volume: AirspaceVolume, outline: BaseGeometry, lines: NDArray[np.object_], close: Ints
) -> tuple[Ints, Floats]:
    """Return places (m, 2) of the ways so close, and of which way each is: of each the nearest.

    Of limits above the ground all along what is close: where it is nearest it may be out of their heights.
    """
    nearest = shapely.get_coordinates(shapely.shortest_line(lines[close], outline))[::2]
    if not counts_from_ground(volume):
        return close, nearest
    near = shapely.intersection(lines[close], shapely.buffer(outline, BESIDE_M))
    ends = shapely.get_coordinates(lines[close]).reshape(-1, 2, 2)
    x_m, y_m, _ = places_inside(ends, np.asarray(near, dtype=object), _ALONG)
    along = np.stack([x_m.ravel(), y_m.ravel()], axis=1)
    return np.concatenate([close, np.repeat(close, len(_ALONG))]), np.concatenate([nearest, along])


RULES = (return_close_beside,)
