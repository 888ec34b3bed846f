"""Rule on what flies low by itself after a lost link, for the delay or on its way home: into people."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.ceiling.evaluate import vertical_doubt_m
from planner.flight.answer import FlightAnswer
from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.failsafe import RETURNS
from planner.flight.surroundings import ground_over
from planner.flight.way_home import LossWays
from planner.geo.parts_inside import places_inside
from planner.rules.beneath_judged import as_fast_words
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_reached import MAY_BE, matters, reached
from planner.rules.loss_words import does, lost
from planner.rules.words import room_ft
from planner.saying import marked
from planner.track.mapped import Mapped
from planner.track.track import Track

Floats = NDArray[np.float64]

_PERSON_M: Final = 2.5
_VEHICLE_M: Final = 4.2
"""A lorry is about 4 m high (common practice), somebody with an arm up 2.5 m: own choice."""
_OF_VEHICLES: Final = frozenset({Below.VEHICLES, Below.ROAD})
WAIT, _HOME = (0, 1), (2, 3)
"""The corners between which it flies on, and flies home."""


def flies_into(case: Case) -> Iterator[Finding]:
    """Yield a stop where it flies on as low as people are high, an act where that is within the errors.

    Where people may be it is something to do. What comes down on them by its action is told of that.
    """
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or flight.beneath is None:
        return
    if case.mapped is None:
        return
    doubt_m = vertical_doubt_m(case.plan, case.mapped)
    things = [one for one in flight.beneath.things if matters(one)]
    told: set[int] = set()
    for way in (WAIT, _HOME) if loss.failsafe.action in RETURNS else (WAIT,):
        part = loss, way
        for k, over_m in low_over(case.mapped, flight, part, things, doubt_m):
            thing = things[k]
            if k in told or (loss.failsafe.action not in RETURNS and reached(flight, loss, thing).any()):
                continue
            if found := _told(case, track, part, thing, over_m, doubt_m):
                told.add(k)
                yield by_category(case, thing, found)
    for faster in flight.fast_losses:
        part = faster, WAIT
        for k, over_m in low_over(case.mapped, flight, part, things, 0.0):
            if k not in told and (found := _told(case, track, part, things[k], over_m, 0.0, assumed=True)):
                yield by_category(case, things[k], found)


def height_m(thing: Thing) -> float:
    """Return how high somebody on a thing, or what moves on it, is [m]."""
    return _VEHICLE_M if thing.below in _OF_VEHICLES else _PERSON_M


def low_over(
    mapped: Mapped,
    flight: FlightAnswer,
    part: tuple[LossWays, tuple[int, int]],
    things: list[Thing],
    doubt_m: float,
) -> Iterator[tuple[int, Floats]]:
    """Yield which things are flown over so low between two corners, with the least height there (n,) [m]."""
    loss, way = part
    assert flight.beneath is not None
    rows = _low_rows(loss, way, _VEHICLE_M + doubt_m)
    if not things or not len(rows) or mapped.ground is None:
        return
    ends = np.stack([loss.corner_x_m[rows][:, way], loss.corner_y_m[rows][:, way]], axis=2)
    lines = np.asarray(shapely.linestrings(ends), dtype=object)
    grown_m = max(flight.beneath.zone.grown_m, 0.1)
    wide = [shapely.buffer(one.shape, grown_m) for one in things]
    line, met = shapely.STRtree(wide).query(lines, predicate="intersects")
    for k in np.unique(met).tolist():
        here = line[met == k]
        over_m = np.full(len(loss.waiting_m), np.inf)
        x_m, y_m, share = places_inside(ends[here], shapely.intersection(lines[here], wide[k]))
        from_m, to_m = (loss.corner_amsl_m[rows[here], corner][:, None] for corner in way)
        ground_m = ground_over((mapped.ground,), x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
        least_m = np.fmin.reduce(from_m + (to_m - from_m) * share - ground_m, axis=1)
        over_m[rows[here]] = np.where(np.isnan(least_m), np.inf, least_m)
        yield k, over_m


def _low_rows(loss: LossWays, way: tuple[int, int], within_m: float) -> NDArray[np.int64]:
    """Return the samples from which it may come so low between two corners."""
    corners = np.stack([loss.corner_x_m[:, way], loss.corner_y_m[:, way]], axis=2)
    known = np.isfinite(corners).all(axis=(1, 2))
    if way == _HOME:
        # What clears by more is no lower away from its ends; what has landed flies no way home.
        flown = known if loss.landed is None else known & ~loss.landed
        return np.flatnonzero(flown) if loss.margin_m < within_m else np.empty(0, dtype=np.int64)
    down = np.isinf(loss.waiting_m)
    with np.errstate(invalid="ignore"):
        low = (loss.waiting_m < within_m) | down
    return np.flatnonzero(low & known)


def _told(
    case: Case,
    track: Track,
    part: tuple[LossWays, tuple[int, int]],
    thing: Thing,
    over_m: Floats,
    doubt_m: float,
    *,
    assumed: bool = False,
) -> Finding | None:
    loss, home = part[0], part[1] is _HOME
    there, high_m = thing.below in OF_PEOPLE, height_m(thing)
    surely = worst_of(track, over_m < high_m, -over_m)
    worst = surely or (worst_of(track, over_m < high_m + doubt_m, -over_m) if there else None)
    if worst is None:
        return None
    mark = Mark.ACT if not there or surely is None else Mark.UNKNOWN if assumed else Mark.STOP
    what = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
    sure = surely is not None and not assumed
    low = room_ft(max(float(over_m[worst.sample]), 0.0))
    over = f"{low} over the ground over {what}"
    flies_on = f"flies on as it flew for {loss.failsafe.delay_s:g} s"
    if assumed:
        flies_on += f". {marked(as_fast_words(case.plan))}, that is"
    does_so = does(case.plan, loss.failsafe.action)
    begins = f"{lost(worst.stretch)} the aircraft"
    return worst.finding(
        rule="link-loss-on-people",
        mark=mark,
        title=f"On lost link it {'flies' if sure else 'may fly'} "
        f"{'into people' if there else 'through where people may be'}",
        message=f"{begins} {does_so}, {over} on its way."
        if home
        else f"{begins} {flies_on}, {over}; only then it {does_so}.",
        remedy="set a higher return height, or move the path, where it returns to, or them"
        if home
        else "fly higher or more slowly towards them, set a shorter delay, or move the path or them",
        numbers={"over_ground_m": float(over_m[worst.sample]), "height_m": high_m},
    )


RULES = (flies_into,)
