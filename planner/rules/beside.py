"""Rules on what path and area keep clear of by less than anybody flies or charts to."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.profile import Binding
from planner.geo.near_lines import lines_near
from planner.geo.place import Place
from planner.permission.at_edge import level_beside
from planner.permission.besides import BESIDE_M
from planner.permission.entries import is_active
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import grants_for
from planner.permission.routes import TOLERANCE_M
from planner.rules.beside_area import nearest_of_area
from planner.rules.beside_undrawn import nearest_on_way
from planner.rules.bibliography import airspace_rule, closed_rule, inquiry_rule
from planner.rules.case import Case
from planner.rules.closed_words import agency_of
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.told_apart import told_apart, which_airspace
from planner.rules.undrawn import launch_ground_m, ways_not_drawn
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track
from planner.track.way_samples import sample_way
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume

Floats = NDArray[np.float64]

FIX_M = 8.0
"""GPS Standard Positioning Service Performance Standard, 5th edition (2020), from memory: the horizontal
error of a satellite fix is within 8 m 95 % of the time, as a mean of the globe."""


@attrs.frozen
class Near:
    """Where a line comes nearest to an edge [m]: how near, how far along, and the place."""

    away_m: float
    along_m: float
    place: Place


@attrs.frozen
class Beside:
    """What part of a flight comes nearest to an airspace, in words, how near [m] and where.

    `top_amsl_m` is how high it is flown at the most as near as a satellite fix may be off, NaN if not known.
    """

    words: str
    away_m: float
    place: Place
    top_amsl_m: float
    along_m: float | None = None


def close_beside_airspace(case: Case) -> Iterator[Finding]:
    """Yield what it means that the flight passes close beside an airspace and does not enter it.

    Open beside what is closed, within what a satellite fix may be off, else an act.
    """
    nearest: dict[tuple[str, ...], tuple[AirspaceVolume, int, Beside]] = {}
    for column, volume in _closing_near(case):
        named = which_airspace(volume)
        near = nearest_part(case, column, volume)
        if near is not None and (named not in nearest or near.away_m < nearest[named][2].away_m):
            nearest[named] = volume, column, near
    for volume, column, near in nearest.values():
        yield close_beside(case, volume, near, open_question=is_open(case, column, volume, near))


def is_close_beside(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether the flight, where it reaches its heights, comes close to a volume's outline."""
    return nearest_part(case, column, volume) is not None


def nearest_part(case: Case, column: int, volume: AirspaceVolume) -> Beside | None:
    """Return where the flight comes nearest to an airspace; of what is drawn if that is as near."""
    found = [_beside_area(case, column, volume)]
    if (near := _beside_path(case, column, volume)) is not None:
        words, top_m = f"At {along(near.along_m)} the path is", _top_of_path_m(case, column)
        found.insert(0, Beside(words, near.away_m, near.place, top_m, near.along_m))
    if case.mapped is not None:
        for way in ways_not_drawn(case, case.mapped):
            if (met := nearest_on_way(case.mapped, way, column, volume, BESIDE_M)) is not None:
                away_m, x_m, y_m = met
                place, top_m = case.mapped.frame.xy_to_place(x_m, y_m), float(np.max(way.planned_amsl_m))
                found.append(Beside(f"The way {way.words} is", away_m, place, top_m))
    return min((one for one in found if one), key=lambda one: round(one.away_m, 1), default=None)


def is_open(case: Case, column: int, volume: AirspaceVolume, near: Beside) -> bool:
    """Whether nobody can say if the flight stays out of it, and no record would let it in there.

    Of controlled airspace as of what is closed: missing data, open there as well, could hide either.
    """
    if near.away_m >= FIX_M or case.mapped is None:
        return False
    of_volume = answers_on if inquired_of(volume, case.plan.purpose) else grants_for
    outline, frame = case.mapped.outlines.polygon(column), case.mapped.frame
    here = shapely.Point(frame.place_to_xy(near.place))
    edge = shapely.get_coordinates(shapely.shortest_line(outline, here))[:1]
    top_m = near.top_amsl_m
    there = sample_way(case.mapped, edge, np.array([top_m]))
    return not np.isfinite(top_m) or not any(
        bool(grant.covers(there)[0]) and top_m <= float(grant.height_amsl_m(there, launch_ground_m(case))[0])
        for grant in of_volume(volume, case.plan, case.mapped)
    )


def _closing_near(case: Case) -> Iterator[tuple[int, AirspaceVolume]]:
    """Yield what closes or asks, near path or area, and is entered by neither."""
    mapped, box = case.mapped, _box_about(case)
    if mapped is None or box is None:
        return
    entered = {column for use in case.uses if not use.need.not_drawn for column in use.volumes}
    for column in mapped.outlines.columns_near(box).tolist():
        volume = mapped.airspace.get(column)
        if volume is None or column in entered:
            continue
        asks = inquired_of(volume, case.plan.purpose)
        if not asks and volume.kind not in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE:
            continue
        if is_active(volume, case.plan.window) and not (asks and flown(case, column, volume)):
            yield column, volume


def _box_about(case: Case) -> Floats | None:
    """Return the box within which anything may lie close beside the flight, None without one."""
    corners = []
    if case.track is not None and len(case.track) > 1:
        ends = np.column_stack([case.track.x_m, case.track.y_m])
        corners.append(ends[np.isfinite(ends).all(axis=1)])
    if case.area_samples is not None and case.area is not None:
        corners.append(np.reshape(case.area_samples.footprint.bounds, (2, 2)))
    if case.mapped is not None:
        corners += [np.asarray(way.line.coords)[:, :2] for way in ways_not_drawn(case, case.mapped)]
    drawn = np.vstack(corners) if corners else np.empty((0, 2))
    if not len(drawn):
        return None
    return np.concatenate([drawn.min(axis=0) - BESIDE_M, drawn.max(axis=0) + BESIDE_M])


def _beside_path(case: Case, column: int, volume: AirspaceVolume) -> Near | None:
    track = case.track
    if track is None or case.mapped is None or len(track) < 2:
        return None
    outline = case.mapped.outlines.polygon(column)
    reached = level_beside(case.mapped, track, volume, outline, BESIDE_M)
    return nearest_on_path(case, track, reached, outline)


def _beside_area(case: Case, column: int, volume: AirspaceVolume) -> Beside | None:
    """Return how near the flying area comes to an airspace at any height of both, None if not close."""
    samples = case.area_samples
    if samples is None or case.area is None or case.mapped is None:
        return None
    outline = case.mapped.outlines.polygon(column)
    near = nearest_of_area(case.mapped, samples, volume, outline, BESIDE_M)
    if near is None:
        return None
    place = case.mapped.frame.xy_to_place(near.x_m, near.y_m)
    top_m = float(np.max(samples.planned_amsl_m, initial=-np.inf))
    return Beside("The flying area is", near.away_m, place, top_m)


def _top_of_path_m(case: Case, column: int) -> float:
    """Return the greatest height of the path as near to an outline as a fix may be off [m AMSL]."""
    track = case.track
    assert track is not None
    assert case.mapped is not None
    ends = np.column_stack([track.x_m, track.y_m])
    lines = np.asarray(shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)))
    near = np.flatnonzero(lines_near(case.mapped.outlines.polygon(column), lines, FIX_M))
    return float(np.max(track.planned_amsl_m[np.append(near, near + 1)], initial=-np.inf))


def close_beside(case: Case, volume: AirspaceVolume, near: Beside, *, open_question: bool) -> Finding:
    """Return the finding that a part of the flight passes close beside an airspace."""
    why = (
        "A satellite fix alone may be off by more, so nobody can say whether the flight stays out of it."
        if open_question
        else "Neither an aircraft nor a chart is placed that exactly: flown a little to the side it is "
        "inside."
    )
    return Finding(
        rule="close-beside-airspace",
        mark=Mark.UNKNOWN if open_question else Mark.ACT,
        basis=Basis.LAW if open_question else Basis.SAFETY,
        title=f"Close beside {told_apart(volume, case.mapped)}",
        message=f"{near.words} {room_ft(near.away_m)} beside it. {why}",
        citation=_rule_of(case, volume) if open_question else "common practice",
        remedy=f"keep {over_ft(BESIDE_M)} away from its edge, or record {_leave(case, volume)}"
        if open_question
        else f"keep {over_ft(BESIDE_M)} away from its edge",
        from_m=near.along_m,
        to_m=near.along_m,
        place=near.place,
        numbers={"aside_m": near.away_m},
        about=which_airspace(volume),
    )


def _rule_of(case: Case, volume: AirspaceVolume) -> str:
    if inquired_of(volume, case.plan.purpose):
        return inquiry_rule(volume.kind)
    closed = volume.kind in FORBIDDEN_WHILE_ACTIVE
    return closed_rule(case.plan.purpose, {volume.kind}) if closed else airspace_rule(case.plan.purpose)


def _leave(case: Case, volume: AirspaceVolume) -> str:
    if inquired_of(volume, case.plan.purpose):
        return "the authority's answer"
    closed = volume.kind in FORBIDDEN_WHILE_ACTIVE
    return f"the permission of {agency_of([volume])}" if closed else "an authorization"


def close_to_the_end_of_an_allowance(case: Case) -> Iterator[Finding]:
    """Yield an act where the path needs a structure's allowance close to its radius."""
    track, profile, mapped = case.track, case.profile, case.mapped
    if track is None or profile is None or mapped is None:
        return
    by_structure = np.array([kind is Binding.STRUCTURE for kind in profile.binding])
    with np.errstate(invalid="ignore"):
        needs = by_structure & (track.planned_amsl_m > track.lowest_ground_amsl_m + GROUND_LIMIT_M)
        needs &= track.planned_amsl_m <= profile.ground_limit_amsl_m
    radii = [mapped.outlines.polygon(column) for column in _standing_near(case, track, needs)]
    if not radii:
        return
    found = nearest_on_path(case, track, needs, shapely.boundary(shapely.union_all(radii)))
    # Where the path crosses the radius that high it is too high beyond: a stop, told with its place.
    if found is None or found.away_m <= TOLERANCE_M:
        return
    yield Finding(
        rule="close-to-allowance-end",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Close to where the structure's allowance ends",
        message=(
            f"At {along(found.along_m)} the path is {room_ft(found.away_m)} inside the radius, and above "
            "the limit over the ground: flown a little farther out it is too high."
        ),
        citation="common practice",
        remedy=f"stay {over_ft(BESIDE_M)} inside the radius while that high",
        from_m=found.along_m,
        to_m=found.along_m,
        place=found.place,
        numbers={"aside_m": found.away_m},
    )


def _standing_near(case: Case, track: Track, there: NDArray[np.bool_]) -> list[int]:
    """Return the structures said to stand whose radius reaches to where something is asked of the path."""
    assert case.mapped is not None
    x_m, y_m = track.x_m[there], track.y_m[there]
    if not len(x_m):
        return []
    box = np.array([x_m.min(), y_m.min(), x_m.max(), y_m.max()])
    spare_m = 2 * BESIDE_M
    near = case.mapped.outlines.columns_near(box + np.array([-spare_m, -spare_m, spare_m, spare_m]))
    standing, structures = case.plan.structures_standing, case.mapped.structures
    return [k for k in near.tolist() if k in structures and structures[k].stands_by(standing)]


def nearest_on_path(
    case: Case,
    track: Track,
    holds: NDArray[np.bool_],
    edge: BaseGeometry,
    within_m: float = BESIDE_M,
) -> Near | None:
    """Return where the parts of the path on which something holds come nearest, None if not close."""
    pieces = np.flatnonzero(holds[:-1] & holds[1:])
    whole = np.zeros(len(pieces)), np.ones(len(pieces))
    return nearest_on_pieces(case, track, (pieces, *whole), edge, within_m)


def nearest_on_pieces(
    case: Case,
    track: Track,
    parts: tuple[NDArray[np.intp], Floats, Floats],
    edge: BaseGeometry,
    within_m: float = BESIDE_M,
) -> Near | None:
    """Return where parts of the pieces between samples come nearest to an edge, None if not close.

    `parts` are the pieces by their first sample, and from which share of each to which (n,).
    """
    assert case.mapped is not None
    ends, (pieces, begin, end) = np.column_stack([track.x_m, track.y_m]), parts
    known = np.isfinite(ends[pieces]).all(axis=1) & np.isfinite(ends[pieces + 1]).all(axis=1)
    pieces, begin, end = pieces[known], begin[known], end[known]
    if not len(pieces):
        return None
    across = ends[pieces + 1] - ends[pieces]
    corners = np.stack([ends[pieces] + across * begin[:, None], ends[pieces] + across * end[:, None]], axis=1)
    lines = np.asarray(shapely.linestrings(corners))
    close = np.flatnonzero(lines_near(edge, lines, within_m))
    if not len(close):
        return None
    away_m = np.full(len(lines), np.inf)
    away_m[close] = shapely.distance(lines[close], edge)
    which = int(np.argmin(away_m))
    piece = int(pieces[which])
    x_m, y_m = shapely.get_coordinates(shapely.shortest_line(lines[which], edge))[0]
    length_m = float(np.hypot(*(ends[piece + 1] - ends[piece])))
    share = float(np.hypot(x_m - ends[piece, 0], y_m - ends[piece, 1])) / length_m if length_m > 0 else 0.0
    first_m, last_m = track.distance_m[piece], track.distance_m[piece + 1]
    return Near(
        float(away_m[which]),
        float(first_m + share * (last_m - first_m)),
        case.mapped.frame.xy_to_place(float(x_m), float(y_m)),
    )


RULES = (close_beside_airspace, close_to_the_end_of_an_allowance)
