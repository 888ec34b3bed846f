"""Rules on what a path keeps clear of by less than anybody flies or charts to."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.ceiling.profile import Binding
from planner.geo.place import Place
from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import inquired_of
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION

Floats = NDArray[np.float64]

BESIDE_M = 20.0
"""Own choice: what hand, satellite fix and outline may be off together."""


@attrs.frozen
class _Near:
    """Where a line comes nearest to an edge [m]: how near, how far along, and the place."""

    away_m: float
    along_m: float
    place: Place


def close_beside_airspace(case: Case) -> Iterator[Finding]:
    """Yield an act for each airspace that the path passes close beside and does not enter."""
    track, mapped = case.track, case.mapped
    if track is None or mapped is None or len(track) < 2:
        return
    known = np.isfinite(track.x_m)
    x_m, y_m = track.x_m[known], track.y_m[known]
    low, high = np.array([x_m.min(), y_m.min()]) - BESIDE_M, np.array([x_m.max(), y_m.max()]) + BESIDE_M
    near = mapped.outlines.columns_near(np.concatenate([low, high]))
    entered = {column for use in case.uses for column in use.volumes}
    told: set[tuple[str, str]] = set()
    for column in near.tolist():
        volume = mapped.airspace.get(column)
        if volume is None or column in entered or (volume.name, volume.kind.value) in told:
            continue
        asks = inquired_of(volume, case.plan.purpose)
        if not asks and volume.kind not in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE:
            continue
        if not is_active(volume, case.plan.window) or (asks and flown(case, column, volume)):
            continue
        with np.errstate(invalid="ignore"):
            level = (track.planned_amsl_m >= floor_amsl_m(volume, track)) & (
                track.flown_from_amsl_m <= top_amsl_m(volume, track)
            )
        found = _nearest(case, track, level, mapped.outlines.polygon(column))
        if found is None:
            continue
        told.add((volume.name, volume.kind.value))
        yield Finding(
            rule="close-beside-airspace",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title=f"Close beside {volume.name}",
            message=(
                f"At {along(found.along_m)} the path is {room_ft(found.away_m)} beside it. Neither an "
                "aircraft nor a chart is placed that exactly: flown a little to the side it is inside."
            ),
            citation="common practice",
            remedy=f"keep {over_ft(BESIDE_M)} away from its edge",
            from_m=found.along_m,
            to_m=found.along_m,
            place=found.place,
            numbers={"aside_m": found.away_m},
        )


def close_to_the_end_of_an_allowance(case: Case) -> Iterator[Finding]:
    """Yield an act where the path needs a structure's allowance close to its radius."""
    track, profile, mapped = case.track, case.profile, case.mapped
    if track is None or profile is None or mapped is None:
        return
    radii = [mapped.outlines.polygon(column) for column in _standing(case)]
    if not radii:
        return
    by_structure = np.array([kind is Binding.STRUCTURE for kind in profile.binding])
    with np.errstate(invalid="ignore"):
        needs = by_structure & (track.planned_amsl_m > track.lowest_ground_amsl_m + GROUND_LIMIT_M)
        needs &= track.planned_amsl_m <= profile.ground_limit_amsl_m
    found = _nearest(case, track, needs, shapely.boundary(shapely.union_all(radii)))
    if found is None:
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


def _standing(case: Case) -> list[int]:
    assert case.mapped is not None
    return [
        column
        for column, structure in case.mapped.structures.items()
        if structure.key in case.plan.structures_standing
    ]


def _nearest(case: Case, track: Track, holds: NDArray[np.bool_], edge: shapely.Geometry) -> _Near | None:
    """Return where the parts of the path on which something holds come nearest, None if not close."""
    assert case.mapped is not None
    ends = np.column_stack([track.x_m, track.y_m])
    pieces = np.flatnonzero(holds[:-1] & holds[1:] & np.isfinite(ends[:-1, 0]) & np.isfinite(ends[1:, 0]))
    if not len(pieces):
        return None
    lines = np.asarray(shapely.linestrings(np.stack([ends[pieces], ends[pieces + 1]], axis=1)))
    close = np.flatnonzero(shapely.dwithin(edge, lines, BESIDE_M))
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
    return _Near(
        float(away_m[which]),
        float(first_m + share * (last_m - first_m)),
        case.mapped.frame.xy_to_place(float(x_m), float(y_m)),
    )


RULES = (close_beside_airspace, close_to_the_end_of_an_allowance)
