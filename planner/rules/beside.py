"""Rules on what path and area keep clear of by less than anybody flies or charts to."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.ceiling.profile import Binding
from planner.geo.place import Place
from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import inquired_of
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.words import along, over_ft, room_ft
from planner.track.samples import Samples
from planner.track.track import Track
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume

Floats = NDArray[np.float64]

BESIDE_M = 20.0
"""Own choice: what hand, satellite fix and outline may be off together."""


@attrs.frozen
class Near:
    """Where a line comes nearest to an edge [m]: how near, how far along, and the place."""

    away_m: float
    along_m: float
    place: Place


def close_beside_airspace(case: Case) -> Iterator[Finding]:
    """Yield an act for each airspace that the path or the area passes close beside and does not enter."""
    told: set[tuple[str, str]] = set()
    for column, volume in _closing_near(case):
        named = (volume.name, volume.kind.value)
        if named in told:
            continue
        near = _beside_path(case, column, volume)
        away_m = near.away_m if near else _beside_area(case, column, volume)
        if away_m is None:
            continue
        told.add(named)
        yield _close_beside(case, volume, away_m, near)


def is_close_beside(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether path or area, where they reach its heights, come close to a volume's outline."""
    if _beside_path(case, column, volume) is not None:
        return True
    return _beside_area(case, column, volume) is not None


def _closing_near(case: Case) -> Iterator[tuple[int, AirspaceVolume]]:
    """Yield what closes or asks, near path or area, and is entered by neither."""
    mapped, box = case.mapped, _box_about(case)
    if mapped is None or box is None:
        return
    entered = {column for use in case.uses for column in use.volumes}
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
    """Return the box within which anything may lie close beside path or area, None without either."""
    corners = []
    if case.track is not None and len(case.track) > 1:
        ends = np.column_stack([case.track.x_m, case.track.y_m])
        corners.append(ends[np.isfinite(ends).all(axis=1)])
    if case.area_samples is not None and case.area is not None:
        corners.append(np.reshape(case.area_samples.footprint.bounds, (2, 2)))
    drawn = np.vstack(corners) if corners else np.empty((0, 2))
    if not len(drawn):
        return None
    return np.concatenate([drawn.min(axis=0) - BESIDE_M, drawn.max(axis=0) + BESIDE_M])


def _beside_path(case: Case, column: int, volume: AirspaceVolume) -> Near | None:
    track = case.track
    if track is None or case.mapped is None or len(track) < 2:
        return None
    return nearest_on_path(case, track, _level(volume, track), case.mapped.outlines.polygon(column))


def _beside_area(case: Case, column: int, volume: AirspaceVolume) -> float | None:
    """Return how near the flying area comes to an airspace at any height of both [m], None if not close."""
    samples = case.area_samples
    if samples is None or case.area is None or case.mapped is None or not _level(volume, samples).any():
        return None
    away_m = float(shapely.distance(samples.footprint, case.mapped.outlines.polygon(column)))
    return away_m if away_m <= BESIDE_M else None


def _level(volume: AirspaceVolume, samples: Samples) -> NDArray[np.bool_]:
    """Return which samples reach an airspace's heights, were they in its outline."""
    with np.errstate(invalid="ignore"):
        reached = samples.planned_amsl_m >= floor_amsl_m(volume, samples)
        return np.asarray(reached & (samples.flown_from_amsl_m <= top_amsl_m(volume, samples)))


def _close_beside(case: Case, volume: AirspaceVolume, away_m: float, near: Near | None) -> Finding:
    of_path = f"At {along(near.along_m)} the path is" if near else "The flying area is"
    return Finding(
        rule="close-beside-airspace",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Close beside {volume.name}",
        message=(
            f"{of_path} {room_ft(away_m)} beside it. Neither an "
            "aircraft nor a chart is placed that exactly: flown a little to the side it is inside."
        ),
        citation="common practice",
        remedy=f"keep {over_ft(BESIDE_M)} away from its edge",
        from_m=near.along_m if near else None,
        to_m=near.along_m if near else None,
        place=near.place if near else case.area.place if case.area else None,
        numbers={"aside_m": away_m},
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


def _standing(case: Case) -> list[int]:
    assert case.mapped is not None
    return [
        column
        for column, structure in case.mapped.structures.items()
        if structure.standing_key in case.plan.structures_standing
    ]


def nearest_on_path(
    case: Case,
    track: Track,
    holds: NDArray[np.bool_],
    edge: shapely.Geometry,
    within_m: float = BESIDE_M,
) -> Near | None:
    """Return where the parts of the path on which something holds come nearest, None if not close."""
    assert case.mapped is not None
    ends = np.column_stack([track.x_m, track.y_m])
    pieces = np.flatnonzero(holds[:-1] & holds[1:] & np.isfinite(ends[:-1, 0]) & np.isfinite(ends[1:, 0]))
    if not len(pieces):
        return None
    lines = np.asarray(shapely.linestrings(np.stack([ends[pieces], ends[pieces + 1]], axis=1)))
    close = np.flatnonzero(shapely.dwithin(edge, lines, within_m))
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
