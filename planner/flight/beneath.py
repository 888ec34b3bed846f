"""What the path comes over, what a failed aircraft falls on, and how far people are away."""

import math
from collections.abc import Mapping, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.aslant import close_aslant
from planner.flight.below import GRAVEST_FIRST, OF_PEOPLE, Thing, things_beneath
from planner.flight.crossings import Crossing, crossings
from planner.flight.drift_bound import drift_is_open, lowest_terminal_mps
from planner.flight.every_wind import InWinds
from planner.flight.fall import terminal_speed_mps
from planner.flight.fall_zone import FallZone, fall_zone, farthest_m, grown_by_m, thrown_along
from planner.flight.slow_fall import carried_ways
from planner.plan.model import Plan
from planner.track.track import Track
from planner.world.sites import GroundFeature

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NOTHING: Final = -1
"""On no record: not the same as nobody there."""
UNKNOWN: Final = -2
"""The height above ground is not known, so neither is where it falls."""
# Charts are asked this far beyond the path; no fall from 400 ft comes farther.
_CHARTED_WITHIN_M: Final = 400.0


@attrs.frozen(eq=False)
class Underneath:
    """What is beneath a path.

    Parameters
    ----------
    things : what is drawn and charted about it.
    zone : where a failed aircraft comes down.
    crossings : stretches over things, in order along the path, then those
        from which an aircraft falls on things that it does not pass over.
    over, falls_on : (n,) per sample the gravest kind straight below, and
        within the fall from there: an index into `GRAVEST_FIRST`, else
        `NOTHING` or `UNKNOWN`. What is met between two samples counts for both.
    apart_m : per thing that is people, by its index: horizontal distance from
        each sample's step (n,) [m].
    terminal_mps : speed at which drag carries it in the densest air [m/s], None: not known.
    slowest_mps, hardest_mps : the lowest that it can be there; and that in the thinnest air.
    may_fall_on : where a wind is given and no drag area, per thing that is people, and that is neither
        passed over nor fallen on else, the stretches from which wind may carry a failed aircraft onto it.
    most_drift_m : (n,) how far that is at the most [m]; None where a drag area or no wind is given.
    may_reach, most_reach_m : the same where nobody said how fast it flies (`InWinds.fastest`), else NaN.
    """

    things: tuple[Thing, ...]
    zone: FallZone
    crossings: tuple[Crossing, ...]
    over: Ints
    falls_on: Ints
    apart_m: Mapping[int, Floats]
    terminal_mps: float | None
    may_fall_on: Mapping[int, tuple[Crossing, ...]] = attrs.field(factory=dict)
    most_drift_m: Floats | None = None
    may_reach: Mapping[int, tuple[Crossing, ...]] = attrs.field(factory=dict)
    most_reach_m: float = math.nan
    slowest_mps: float | None = None
    hardest_mps: float | None = None


def beneath_of(
    plan: Plan,
    charted: Sequence[GroundFeature],
    track: Track,
    flown: InWinds,
    returns_to: tuple[float, float] | None = None,
) -> Underneath:
    """Return what is beneath a path of two points or more, as far as it is drawn or charted.

    `returns_to`: where it returns to by itself, in the plane [m]; charts are asked as far as there.
    """
    terminal_mps = _terminal_mps(plan, flown.dense_kg_m3)
    zone = fall_zone(track, flown, terminal_mps, grown_by_m(plan.aircraft))
    things = things_beneath(plan, charted, track.frame, _box(track, returns_to))
    over = crossings(track, things)
    falls = _falling(track, zone, things, over)
    may_fall_on, most_drift_m = _may_fall_on(plan, track, flown, zone, (things, (*over, *falls[1])))
    known = frozenset({cross.thing for cross in (*over, *falls[1])} | set(may_fall_on))
    may_reach, most_reach_m = _may_reach(plan, track, flown, known, things)
    return Underneath(
        things=things,
        zone=zone,
        crossings=(*over, *falls[1]),
        over=_gravest(_met(track, things), things, len(track)),
        falls_on=np.where(np.isnan(zone.reach_m), UNKNOWN, falls[0]),
        apart_m=_apart_m(track, things),
        terminal_mps=terminal_mps,
        slowest_mps=lowest_terminal_mps(plan.aircraft, flown.dense_kg_m3) if plan.aircraft else None,
        hardest_mps=_terminal_mps(plan, flown.thin_kg_m3),
        may_fall_on=may_fall_on,
        most_drift_m=most_drift_m,
        may_reach=may_reach,
        most_reach_m=most_reach_m,
    )


def _may_reach(
    plan: Plan, track: Track, flown: InWinds, known: frozenset[int], things: Sequence[Thing]
) -> tuple[dict[int, tuple[Crossing, ...]], float]:
    """Return whom a failed aircraft may fall on, and how far, where nobody said how fast it flies."""
    craft = plan.aircraft
    if craft is None or not flown.fastest:
        return {}, math.nan
    terminal_mps = _terminal_mps(plan, flown.dense_kg_m3) or lowest_terminal_mps(craft, flown.dense_kg_m3)
    zone = fall_zone(track, InWinds(flown.fastest, flown.winds), terminal_mps, grown_by_m(craft))
    most_m = float(np.nanmax(np.fmax(zone.reach_m, zone.drift_m), initial=0.0))
    asked = [k for k, thing in enumerate(things) if thing.below in OF_PEOPLE and k not in known]
    return _fallen_besides(track, zone, asked, things), most_m


def _fallen_besides(
    track: Track, zone: FallZone, asked: Sequence[int], things: Sequence[Thing]
) -> dict[int, tuple[Crossing, ...]]:
    """Return from where each of some things is fallen on."""
    found: dict[int, tuple[Crossing, ...]] = {}
    pairs = _fallen_on(zone, [things[k] for k in asked])
    for cross in _beside(track, pairs, frozenset()):
        key = asked[cross.thing]
        found[key] = (*found.get(key, ()), attrs.evolve(cross, thing=key))
    return found


def _may_fall_on(
    plan: Plan,
    track: Track,
    flown: InWinds,
    zone: FallZone,
    beneath: tuple[Sequence[Thing], Sequence[Crossing]],
) -> tuple[dict[int, tuple[Crossing, ...]], Floats | None]:
    things, met = beneath
    known = {cross.thing for cross in met}
    asked = [k for k, thing in enumerate(things) if thing.below in OF_PEOPLE and k not in known]
    craft = drift_is_open(plan)
    if craft is None or not flown.winds:
        return {}, None
    on = [thrown_along(track, motion) for motion in flown.motions]
    slowest_mps = lowest_terminal_mps(craft, flown.dense_kg_m3)
    carried = [
        carried_ways(thrown, flown.winds, zone.height_m, slowest_mps)
        for thrown in (on, [one.coming() for one in on])
    ]
    most_m = farthest_m([way for ways in carried for way in ways], zone.height_m)
    if not asked:
        return {}, most_m
    below = zone.places[:, 0]
    places, coming = (
        np.concatenate([known, *((below + way)[:, None, :] for way in ways)], axis=1)
        for known, ways in zip((zone.places, zone.coming), carried, strict=True)
    )
    wider = attrs.evolve(zone, places=places, coming=coming)
    return _fallen_besides(track, wider, asked, things), most_m


def _box(track: Track, returns_to: tuple[float, float] | None) -> tuple[float, float, float, float]:
    east_m, north_m = (
        (track.x_m, track.y_m)
        if returns_to is None
        else np.vstack([np.column_stack([track.x_m, track.y_m]), returns_to]).T
    )
    return (
        float(east_m.min()) - _CHARTED_WITHIN_M,
        float(north_m.min()) - _CHARTED_WITHIN_M,
        float(east_m.max()) + _CHARTED_WITHIN_M,
        float(north_m.max()) + _CHARTED_WITHIN_M,
    )


def _terminal_mps(plan: Plan, density_kg_m3: float) -> float | None:
    craft = plan.aircraft
    area_m2 = craft.performance.drag_area_m2 if craft and craft.performance else None
    if craft is None or not area_m2:
        return None
    return terminal_speed_mps(craft.take_off_weight_kg, area_m2, density_kg_m3)


def _met(track: Track, things: Sequence[Thing]) -> tuple[Ints, Ints]:
    """Return pairs (step, thing) that meet."""
    steps, step, thing, shapes = _close(_ends(track), things, 0.0)
    shapely.prepare(shapes)
    near = shapely.intersects(shapes[thing], steps[step])
    return step[near], thing[near]


def _ends(track: Track) -> Floats:
    """Return where steps begin and end (n - 1, 2, 2)."""
    points = np.column_stack([track.x_m, track.y_m])
    return np.stack([points[:-1], points[1:]], axis=1)


def _close(
    places: Floats, things: Sequence[Thing], within_m: float
) -> tuple[NDArray[np.object_], Ints, Ints, NDArray[np.object_]]:
    """Return lines through places (n, k, 2), pairs (line, thing) that may be so close, and things' shapes.

    A line of no length, of a step that leads nowhere, is a line, too.
    """
    lines: NDArray[np.object_] = np.asarray(shapely.linestrings(places), dtype=np.object_)
    shapes = np.array([thing.shape for thing in things], dtype=object)
    solid = np.flatnonzero(~shapely.is_empty(shapes))
    if not len(solid) or not len(lines):
        return lines, np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64), shapes
    grown = shapely.bounds(shapes[solid]) + within_m * np.array([-1.0, -1.0, 1.0, 1.0])
    boxes: NDArray[np.object_] = np.asarray(shapely.box(*grown.T), dtype=np.object_)
    line, thing = shapely.STRtree(boxes).query(lines)
    thing = solid[thing]
    close = close_aslant(places, shapes, (line, thing), within_m)
    return lines, line[close], thing[close], shapes


def _gravest(met: tuple[Ints, Ints], things: Sequence[Thing], samples: int) -> Ints:
    step, thing = met
    found = np.full(samples, len(GRAVEST_FIRST))
    rank = np.array([GRAVEST_FIRST.index(one.below) for one in things], dtype=np.int64)
    for ends in (step, step + 1):
        np.minimum.at(found, ends, rank[thing])
    return np.where(found == len(GRAVEST_FIRST), NOTHING, found)


def _apart_m(track: Track, things: Sequence[Thing]) -> dict[int, Floats]:
    people = [k for k, thing in enumerate(things) if thing.below in OF_PEOPLE]
    ways = np.asarray(shapely.linestrings(_ends(track)) if people else [], dtype=object)
    found = {}
    for k in people:
        away = np.asarray(shapely.distance(ways, things[k].shape), dtype=float)
        found[k] = np.asarray(np.minimum(np.append(away, np.inf), np.insert(away, 0, np.inf)))
    return found


def _fallen_on(zone: FallZone, things: Sequence[Thing]) -> tuple[Ints, Ints]:
    """Return pairs (step, thing) where the hull of a step's places of impact, grown, meets a thing."""
    leaving, coming = (np.all(np.isfinite(one), axis=(1, 2)) for one in (zone.places, zone.coming))
    steps = np.flatnonzero(leaving[:-1] & coming[1:])
    places = np.concatenate([zone.places[steps], zone.coming[steps + 1]], axis=1)
    # A cloud of places reaches as far as its hull: only of those that come close one is made.
    clouds, row, thing, shapes = _close(places, things, zone.grown_m)
    asked, hull = np.unique(row, return_inverse=True)
    hulls = np.asarray(shapely.convex_hull(clouds[asked]), dtype=np.object_)
    # Pair by pair: a tree's own search by distance prepares every hull, which takes longer.
    near = shapely.dwithin(hulls[hull], shapes[thing], zone.grown_m)
    return steps[row[near]], thing[near]


def _falling(
    track: Track,
    zone: FallZone,
    things: Sequence[Thing],
    over: Sequence[Crossing],
) -> tuple[Ints, list[Crossing]]:
    """Return the gravest thing that is fallen on per sample, and where on what is not passed over."""
    step, thing = _fallen_on(zone, things)
    passed = frozenset(cross.thing for cross in over)
    return _gravest((step, thing), things, len(track)), _beside(track, (step, thing), passed)


def _beside(track: Track, met: tuple[Ints, Ints], passed: frozenset[int]) -> list[Crossing]:
    """Return the stretches from which things are fallen on, but for those that are passed over."""
    step, thing = met
    if not len(step):
        return []
    order = np.lexsort((step, thing))
    step, thing = step[order], thing[order]
    # A row of neighbouring steps of one thing is one stretch.
    begins = np.flatnonzero((np.diff(thing, prepend=-1) != 0) | (np.diff(step, prepend=-2) > 1))
    ends = np.append(begins[1:], len(step)) - 1
    beside = [
        Crossing(k, from_m, to_m, None, overhead=False)
        for k, from_m, to_m in zip(
            thing[begins].tolist(),
            track.distance_m[step[begins]].tolist(),
            track.distance_m[step[ends] + 1].tolist(),
            strict=True,
        )
        if k not in passed
    ]
    return sorted(beside, key=lambda one: one.from_m)
