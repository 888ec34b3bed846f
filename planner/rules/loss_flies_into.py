"""Rule on what flies on low for the delay of a lost link: into people, before any action begins."""

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
from planner.rules.beneath_judged import as_fast_words
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_reached import MAY_BE, matters, reached
from planner.rules.loss_words import does
from planner.rules.words import along, room_ft
from planner.saying import marked
from planner.track.mapped import Mapped
from planner.track.track import Track

Floats = NDArray[np.float64]

_PERSON_M: Final = 2.5
_VEHICLE_M: Final = 4.2
"""A lorry is about 4 m high (common practice), somebody with an arm up 2.5 m: own choice."""
_OF_VEHICLES: Final = frozenset({Below.VEHICLES, Below.ROAD})
_SHARES: Final = np.linspace(0.0, 1.0, 9)


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
    for thing, over_m in _low_over(case.mapped, flight, loss, things, doubt_m):
        if loss.failsafe.action not in RETURNS and reached(flight, loss, thing).any():
            continue
        if found := _told(case, track, loss, thing, over_m, doubt_m):
            yield by_category(case, thing, found)
            things = [one for one in things if one is not thing]
    for faster in flight.fast_losses:
        for thing, over_m in _low_over(case.mapped, flight, faster, things, 0.0):
            if found := _told(case, track, faster, thing, over_m, 0.0, assumed=True):
                yield by_category(case, thing, found)


def height_m(thing: Thing) -> float:
    """Return how high somebody on a thing, or what moves on it, is [m]."""
    return _VEHICLE_M if thing.below in _OF_VEHICLES else _PERSON_M


def _low_over(
    mapped: Mapped, flight: FlightAnswer, loss: LossWays, things: list[Thing], doubt_m: float
) -> Iterator[tuple[Thing, Floats]]:
    """Yield what is flown over so low till the action begins, with the least height there (n,) [m]."""
    assert flight.beneath is not None
    rows = _low_rows(loss, _VEHICLE_M + doubt_m)
    if not things or not len(rows) or mapped.ground is None:
        return
    ends = np.stack([loss.corner_x_m[rows, :2], loss.corner_y_m[rows, :2]], axis=2)
    lines = np.asarray(shapely.linestrings(ends), dtype=object)
    grown_m = max(flight.beneath.zone.grown_m, 0.1)
    wide = [shapely.buffer(one.shape, grown_m) for one in things]
    line, met = shapely.STRtree(wide).query(lines, predicate="intersects")
    for k in np.unique(met):
        here = line[met == k]
        over_m = np.full(len(loss.waiting_m), np.inf)
        inside = shapely.intersection(lines[here], wide[k])
        x_m, y_m, share = _places(ends[here], inside)
        from_m, to_m = (loss.corner_amsl_m[rows[here], corner][:, None] for corner in (0, 1))
        ground_m = ground_over((mapped.ground,), x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
        least_m = np.fmin.reduce(from_m + (to_m - from_m) * share - ground_m, axis=1)
        over_m[rows[here]] = np.where(np.isnan(least_m), np.inf, least_m)
        yield things[k], over_m


def _low_rows(loss: LossWays, within_m: float) -> NDArray[np.int64]:
    """Return the samples from which it comes so low till its action begins, or lands meanwhile."""
    down = np.isinf(loss.waiting_m)
    with np.errstate(invalid="ignore"):
        low = (loss.waiting_m < within_m) | down
    known = np.isfinite(loss.corner_x_m[:, :2]).all(axis=1) & np.isfinite(loss.corner_y_m[:, :2]).all(axis=1)
    return np.flatnonzero(low & known)


def _places(ends: Floats, inside: NDArray[np.object_]) -> tuple[Floats, Floats, Floats]:
    """Return places (n, k) of the parts of straight ways that lie inside something, and their shares."""
    corners, owner = shapely.get_coordinates(inside, return_index=True)
    way = ends[:, 1] - ends[:, 0]
    squared = np.maximum((way**2).sum(axis=1), 1e-12)
    at = ((corners - ends[owner, 0]) * way[owner]).sum(axis=1) / squared[owner]
    first, last = np.full(len(ends), np.inf), np.full(len(ends), -np.inf)
    np.minimum.at(first, owner, at)
    np.maximum.at(last, owner, at)
    # A way of no length has no part that lies inside: it is there all of it.
    first, last = np.where(np.isfinite(first), first, 0.0), np.where(np.isfinite(last), last, 1.0)
    share = np.clip(first[:, None] + (last - first)[:, None] * _SHARES, 0.0, 1.0)
    x_m, y_m = (ends[:, 0, axis, None] + way[:, axis, None] * share for axis in (0, 1))
    return x_m, y_m, share


def _told(
    case: Case,
    track: Track,
    loss: LossWays,
    thing: Thing,
    over_m: Floats,
    doubt_m: float,
    *,
    assumed: bool = False,
) -> Finding | None:
    there, high_m = thing.below in OF_PEOPLE, height_m(thing)
    surely = worst_of(track, over_m < high_m, -over_m)
    worst = surely or (worst_of(track, over_m < high_m + doubt_m, -over_m) if there else None)
    if worst is None:
        return None
    mark = Mark.ACT if not there or surely is None else Mark.UNKNOWN if assumed else Mark.STOP
    what = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
    sure = surely is not None and not assumed
    low = room_ft(max(float(over_m[worst.sample]), 0.0))
    flies_on = f"flies on as it flew for {loss.failsafe.delay_s:g} s"
    if assumed:
        flies_on += f". {marked(as_fast_words(case.plan))}, that is"
    return worst.finding(
        rule="link-loss-on-people",
        mark=mark,
        title=f"On lost link it {'flies' if sure else 'may fly'} "
        f"{'into people' if there else 'through where people may be'}",
        message=f"Lost from {along(worst.stretch.from_m)} to {along(worst.stretch.to_m)} the aircraft "
        f"{flies_on}, {low} over the ground over {what}; only then it "
        f"{does(case.plan, loss.failsafe.action)}.",
        remedy="fly higher or more slowly towards them, set a shorter delay, or move the path or them",
        numbers={"over_ground_m": float(over_m[worst.sample]), "height_m": high_m},
    )


RULES = (flies_into,)
