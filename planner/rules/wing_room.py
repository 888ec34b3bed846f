"""Rule on the room that a wing takes where its link is lost: to turn round, to climb in circles, to hold."""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.area_flight import AreaFlight
from planner.flight.below import OF_PEOPLE, Thing
from planner.flight.failsafe import RETURNS
from planner.flight.fall_zone import grown_by_m
from planner.flight.turning import turn_radius_m
from planner.flight.velocity import velocity_along
from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, fine_speed
from planner.rules.loss_reached import matters
from planner.rules.loss_words import winged
from planner.rules.stretches import place_at
from planner.rules.struck_in import Flown, first_struck, untold_in
from planner.rules.wing_turns import BANKED, MOST_NAMED, losses_in
from planner.rules.words import along, over_ft
from planner.track.track import Track

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_CLIMBS_M: Final = 1.0
_JUST_UP_M: Final = 10.0
"""As low as this over the ground within two radii of where it takes off or lands everybody is: own choice."""
_TOGETHER: Final = 0.25
"""Places within this share of the radius are looked at together, as low and as wide as they are."""
_MOVES: Final = {
    False: "turns toward home, or climbs in circles",
    True: "circles there until its battery is empty",
}
_ACROSS, _ALONG = (one.ravel() for one in np.meshgrid(np.linspace(-1, 1, 17), np.linspace(-1, 1, 9)))


def room_where_lost(case: Case) -> Iterator[Finding]:
    """Yield what a wing meets while it turns round, or climbs or holds in circles, where its link is lost.

    Open where something stands as high as it is there or people are, an act where people may be, of what
    nobody says how high it stands, and beside the places where it takes off and lands, low as it is there.
    """
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    flights = [one for one in (case.flight, case.area_flight) if one is not None]
    if not flights or link_loss is None or case.mapped is None or not winged(case.plan):
        return
    if link_loss.action not in RETURNS | {LinkLossAction.HOLD}:
        # What lands or drops glides: whom it may come down on is asked farther (`wing_glides`).
        return
    found = [
        one
        for flight in flights
        for loss, track, where in _losses(case, flight)
        if (one := _met(case, flight, loss, track, where))
    ]
    yield from sorted(found, key=lambda one: one.mark is not Mark.UNKNOWN)[:1]


def _losses(case: Case, flight: FlightAnswer | AreaFlight) -> Iterator[tuple[LossWays, Track, str]]:
    losses = losses_in(flight)
    if isinstance(flight, FlightAnswer):
        assert case.track is not None
        yield from ((loss, case.track, "") for loss in losses)
    else:
        # Low in an area whatever rises is in the way: that is not asked, and told (`area_unjudged`).
        at_top = zip(losses[:1], flight.places[:1], strict=True)
        yield from ((loss, places, "in the area") for loss, places in at_top)
        if flight.held is not None:
            yield flight.held[1], flight.held[0], "in the area"


@attrs.frozen(eq=False)
class _Room:
    """What its turns take up at places (n,): a shape each, and how high it is there at the least [m AMSL].

    `just_up`: whether it is as low there as everybody is who takes off or lands. It climbs from places
    within `step_m` of `middle` (n, 2) by `climbs_m` (n,) at the least, 0 where it does not.
    """

    sample: NDArray[np.int64]
    shapes: NDArray[np.object_]
    places: Floats
    level_m: Floats
    just_up: Mask
    middle: Floats
    climbs_m: Floats
    step_m: float

    def flown(self, rows: NDArray[np.int64], gain: float) -> Flown:
        """Return how high it is in some shapes, gaining that much on each meter from where it begins."""
        return Flown(self.level_m[rows], self.middle[rows], gain, self.step_m, self.climbs_m[rows])


def _met(
    case: Case, flight: FlightAnswer | AreaFlight, loss: LossWays, track: Track, where: str
) -> Finding | None:
    assert case.mapped is not None
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    speed_mps = turn_speed_mps(flight, loss, track, able.cruise_mps if able else None)
    radius_m = turn_radius_m(speed_mps)
    heading = _heading(track, flight)
    turns = _turns(loss, heading)
    just_up = _just_up(case, track, radius_m)
    room = _room(loss, (heading, turns), radius_m, grown_by_m(case.plan.aircraft), just_up, in_row=not where)
    if room is None:
        return None
    whole = shapely.union_all(room.shapes)
    things = [one for one in _things(flight) if matters(one) and shapely.intersects(one.shape, whole)]
    people = [one for one in things if one.below in OF_PEOPLE]
    struck = _struck(case, room, _gain(loss, speed_mps))
    untold = untold_in(case.plan, case.mapped, whole)
    if not things and struck is None and not untold:
        return None
    at = struck[0] if struck else _first(room, (people or things)[0].shape) if things else 0
    k = int(room.sample[at])
    lost = where or f"at {along(float(track.distance_m[k]))}"
    holds = loss.failsafe.action is LinkLossAction.HOLD
    names = sorted({one.called for one in things} | set(untold))
    low = struck is not None and bool(room.just_up[struck[0]])
    open_struck = struck is not None and not low
    as_low = "Just off the ground, or about to land," if low else "As low as it is there"
    hits = f" {as_low} it may hit {struck[1]}." if struck else ""
    over = f" On its circle it comes over {', '.join(names[:MOST_NAMED])}." if names else ""
    found = Finding(
        rule="link-loss-no-room",
        mark=Mark.UNKNOWN if people or open_struck else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"What a wing meets while it {'holds' if holds else 'turns round'} where its link is lost",
        message=f"Lost {lost} it {_MOVES[holds]}: {BANKED}, at "
        f"{fine_speed(speed_mps)} over the ground, in a radius of {over_ft(radius_m)}, to which side nobody "
        f"can say.{hits}{over}{'' if holds else ' The way home is judged as if it turned on the spot.'}",
        citation=COMMON_PRACTICE,
        remedy="fly where there is as much room on both sides, or higher, or set another action"
        + (", or say how fast it climbs" if "rate of climb" in loss.failsafe.assumed and not holds else ""),
        from_m=None if where else float(track.distance_m[k]),
        to_m=None if where else float(track.distance_m[k]),
        place=place_at(track, k),
        numbers={"radius_m": radius_m},
    )
    return by_category(case, people[0], found, sustained=True) if people and not open_struck else found


def _things(flight: FlightAnswer | AreaFlight) -> Sequence[Thing]:
    if isinstance(flight, AreaFlight):
        return [one.thing for one in flight.nearby]
    return flight.beneath.things if flight.beneath is not None else ()


def _just_up(case: Case, track: Track, radius_m: float) -> Mask:
    """Return at which samples it is so low only because it takes off or lands there."""
    assert case.mapped is not None
    near = np.zeros(len(track), dtype=bool)
    for spot in (case.plan.launch, case.plan.landing):
        if spot is not None:
            x_m, y_m = case.mapped.frame.place_to_xy(spot.place)
            near |= np.hypot(track.x_m - x_m, track.y_m - y_m) <= 2.0 * radius_m
    return np.asarray(near & (track.planned_agl_m < _JUST_UP_M))


def _gain(loss: LossWays, speed_mps: float) -> float:
    """Return how much it climbs on each meter of its circles, 0 where nobody said how fast it climbs."""
    said = "rate of climb" not in loss.failsafe.assumed
    return loss.failsafe.climb_mps / speed_mps if said and speed_mps > 0.0 else 0.0


def _struck(case: Case, room: _Room, gain: float) -> tuple[int, str] | None:
    """Return the first place at which it may hit something, and what: where it takes off or lands last."""
    assert case.mapped is not None
    for rows in (np.flatnonzero(~room.just_up), np.flatnonzero(room.just_up)):
        flown = room.flown(rows, gain)
        hit = first_struck(case.plan, case.mapped, room.shapes[rows], room.places[rows], flown)
        if hit is not None:
            return int(rows[hit[0]]), hit[1]
    return None


def _heading(track: Track, flight: FlightAnswer | AreaFlight) -> Floats:
    """Return where it flies to at each sample [rad], NaN where nobody knows: straight up, and in an area."""
    if isinstance(flight, AreaFlight):
        return np.full(len(track), np.nan)
    east, north, _ = velocity_along(track, flight.motion)
    return np.where(np.hypot(east, north) > 0.0, np.arctan2(north, east), np.nan)


def _first(room: _Room, shape: shapely.Geometry) -> int:
    return int(np.argmax(shapely.intersects(room.shapes, shape)))


def turn_speed_mps(
    flight: FlightAnswer | AreaFlight, loss: LossWays, track: Track, cruise_mps: float | None
) -> float:
    """Return how fast it is over the ground while it turns: as it returns with the wind, or as it came."""
    if isinstance(flight, AreaFlight):
        # In a box it is flown about in cruise, own choice; the return's speed is given or cruise.
        return max(loss.failsafe.speed_mps, cruise_mps or flight.airspeed_mps or 0.0) + flight.wind_mps
    high_m = np.array([float(np.fmax.reduce(loss.corner_amsl_m[:, 2] - track.ground_amsl_m, initial=0.0))])
    blown_mps = max((float(np.nan_to_num(wind.at(high_m)[0])) for wind in flight.winds), default=0.0)
    if loss.failsafe.action not in RETURNS:
        return max((cruise_mps or 0.0) + blown_mps, _most_flown_mps(flight))
    return max(loss.failsafe.speed_mps + blown_mps, _most_flown_mps(flight))


def _most_flown_mps(flight: FlightAnswer) -> float:
    motions = (flight.motion, *(one.motion for one in flight.in_other_winds), *flight.fastest)
    return max(float(np.fmax.reduce(one.ground_speed_mps, initial=0.0)) for one in motions)


def _turns(loss: LossWays, heading: Floats) -> Floats:
    """Return by how much it turns where its link is lost (n,) [rad]: all round where it climbs or holds."""
    x_m, y_m, level_m = (part[:, 1] for part in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m))
    if loss.failsafe.action is LinkLossAction.HOLD:
        return np.full(len(x_m), np.pi)
    home = np.arctan2(loss.corner_y_m[:, 3] - y_m, loss.corner_x_m[:, 3] - x_m)
    with np.errstate(invalid="ignore"):
        turns = np.abs((home - heading + np.pi) % (2 * np.pi) - np.pi)
        climbs = loss.corner_amsl_m[:, 2] > level_m + _CLIMBS_M
    turns = np.where(np.isnan(turns) | climbs, np.pi, turns)
    return turns if loss.landed is None else np.where(loss.landed, 0.0, turns)


def _room(
    loss: LossWays,
    way: tuple[Floats, Floats],
    radius_m: float,
    grown_m: float,
    just_up: Mask,
    *,
    in_row: bool,
) -> _Room | None:
    """Return what its turns take up, to either side of where each begins; None where they take no room.

    `way` is where it flies to when it begins, NaN where nobody knows, and by how much it turns (n,) [rad].
    `in_row`: whether the places follow each other. `just_up` (n,): places apart, however near.
    """
    heading, turns = way
    x_m, y_m, level_m = (part[:, 1] for part in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m))
    known = np.isfinite(x_m) & np.isfinite(level_m) & (radius_m * (1.0 - np.cos(turns)) > grown_m)
    rows = np.flatnonzero(known)
    step_m = radius_m * _TOGETHER if in_row else 0.0
    first = _firsts(x_m[rows], y_m[rows], step_m, just_up[rows])
    if not len(first):
        return None
    widest, lowest_m = np.maximum.reduceat(turns[rows], first), np.minimum.reduceat(level_m[rows], first)
    climbs_m = np.fmax(loss.corner_amsl_m[rows, 2] - level_m[rows], 0.0)
    climbs_m = np.minimum.reduceat(np.nan_to_num(climbs_m, nan=0.0), first)
    rows = rows[first]
    round_m = radius_m * np.sin(np.minimum(widest, np.pi / 2)) + step_m
    half_m = np.maximum(radius_m * (1.0 - np.cos(widest)) + step_m - round_m, 0.0)
    loose = np.isnan(heading[rows])
    round_m, half_m = np.where(loose, 2.0 * radius_m + step_m, round_m), np.where(loose, 0.0, half_m)
    middle = np.column_stack([x_m[rows], y_m[rows]])
    shapes, places = _shapes(middle, heading[rows], half_m, round_m)
    return _Room(rows, shapes, places, lowest_m, just_up[rows], middle, climbs_m, step_m)


def _firsts(x_m: Floats, y_m: Floats, step_m: float, apart: Mask) -> NDArray[np.int64]:
    """Return where groups of places begin that lie within a step along their row; of no step, each place.

    Where `apart` (n,) changes, another group begins.
    """
    if not len(x_m) or step_m <= 0.0:
        return np.arange(len(x_m))
    along_m = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x_m), np.diff(y_m)))])
    group = np.floor(along_m / step_m)
    return np.flatnonzero(np.concatenate([[True], (np.diff(group) > 0) | (apart[1:] != apart[:-1])]))


def _shapes(
    middle: Floats, heading: Floats, half_m: Floats, round_m: Floats
) -> tuple[NDArray[np.object_], Floats]:
    """Return shapes (n,) that reach to both sides of a heading, and places all over them (n, p, 2) [m]."""
    left = np.nan_to_num(heading, nan=0.0) + np.pi / 2
    side = np.column_stack([np.cos(left), np.sin(left)])
    ahead = np.column_stack([side[:, 1], -side[:, 0]])
    ends = np.stack([middle - half_m[:, None] * side, middle + half_m[:, None] * side], axis=1)
    lines = np.asarray(shapely.linestrings(ends), dtype=object)
    # GEOS loses lines of no length.
    axes = np.where(half_m > 0.0, lines, np.asarray(shapely.points(middle), dtype=object))
    wide_m, long_m = (half_m + round_m)[:, None] * _ACROSS, round_m[:, None] * _ALONG
    # The corners of the box about it lie outside.
    beyond_m = np.maximum(np.abs(wide_m) - half_m[:, None], 0.0)
    inside = np.hypot(beyond_m, long_m) <= round_m[:, None]
    wide_m, long_m = np.where(inside, wide_m, 0.0), np.where(inside, long_m, 0.0)
    places = middle[:, None] + wide_m[..., None] * side[:, None] + long_m[..., None] * ahead[:, None]
    return np.asarray(shapely.buffer(axes, round_m), dtype=object), places


RULES = (room_where_lost,)
