"""Does it come home: everything the plan lets be computed along its path."""

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.beneath import Underneath, beneath_of
from planner.flight.charge import Charge, charge_of, way_home_of
from planner.flight.cover import cover_of
from planner.flight.every_wind import (
    InWinds,
    as_fast_as_may_be,
    every_wind,
    from_each_side,
    quickest,
    slowest,
    with_quickest,
)
from planner.flight.failsafe import RETURNS, Failsafe
from planner.flight.falling_air import densest_kg_m3, thinnest_kg_m3
from planner.flight.lee import in_lee
from planner.flight.links import GROUND_ANTENNA_M, LinkProfile, LinkSpec, link_along
from planner.flight.motion import Motion, fly
from planner.flight.obstacles import obstacles_of
from planner.flight.radio_path import Antenna, radio_paths
from planner.flight.surroundings import Surroundings
from planner.flight.turn_back import WayHome
from planner.flight.velocity import velocity_along
from planner.flight.way_home import Home, LossWays, loss_ways
from planner.flight.weather_now import WeatherNow, blown_by
from planner.flight.wind import CALM, Wind, nearest_between
from planner.geo.place import Place
from planner.plan.aircraft import AircraftForm, Radio
from planner.plan.bounds import SPEED
from planner.plan.crew import Role
from planner.plan.model import Plan
from planner.track.build import ground_at
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain
from planner.world.world import World

Floats = NDArray[np.float64]

# Clearance of a way home over ground and structures where the pilot wants no other: own choice.
CLEAR_BY_M: Final = 10.0
# Winds that carry it no farther apart than this while it flies on are one.
_APART_M: Final = 1.0


@attrs.frozen(eq=False)
class Link:
    """A radio whose budget is complete, along the path."""

    radio: Radio
    profile: LinkProfile


@attrs.frozen(eq=False)
class FlightAnswer:
    """What could be computed; None and empty: an input is missing.

    Parameters
    ----------
    weather : the weather that counts for the window.
    airspeed_given : whether anything says how fast the aircraft flies through the air.
    wind : the one that is worst for the way home; calm where none is given (`weather.wind` is None).
    winds : all that count, from each side that they may come from; empty where none is given.
    motion : speeds and times along the path in the worst one.
    sheltered : (n,) whether a sample lies in the lee of higher ground, in any wind that counts.
    loss : what the loss of the control link does from each sample, flown on in the wind that makes it
        fastest there.
    fast_losses : the same as fast as it may fly, where nobody said how fast.
    beneath : what is beneath, and where a failed aircraft comes down.
    as_planned : the charge of a flight that holds the speeds planned, where no highest airspeed is given and
        some leg is reckoned slower for it; None otherwise.
    fastest : the motions as fast as it may fly where nobody said how fast (`InWinds`).
    """

    weather: WeatherNow
    airspeed_given: bool
    wind: Wind
    winds: tuple[Wind, ...]
    motion: Motion
    sheltered: NDArray[np.bool_]
    charge: Charge | None = None
    links: tuple[Link, ...] = ()
    loss: LossWays | None = None
    fast_losses: tuple[LossWays, ...] = ()
    beneath: Underneath | None = None
    in_other_winds: tuple["FlightAnswer", ...] = ()
    fastest: tuple[Motion, ...] = ()
    as_planned: Charge | None = None


def flight_of(
    plan: Plan, mapped: Mapped | None, track: Track | None, world: World, weather: WeatherNow
) -> FlightAnswer | None:
    """Return what can be computed of a path's flight; None without a path."""
    if mapped is None or track is None or not len(track):
        return None
    home = home_of(plan, mapped)
    able = plan.aircraft.performance if plan.aircraft else None
    way = way_home_of(plan, track, home, _surfaces(mapped))
    flown = [_flown(plan, track, one, (home, way)) for one in blown_by(weather)]
    fastest = as_fast_as_may_be(plan, track, [(wind, motion) for _, wind, motion, _ in flown])
    sides = _from_each_side(plan, track, weather)
    motions, from_sides = ([motion for _, _, motion, _ in one] for one in (flown, sides))
    in_winds = InWinds(
        with_quickest(motions, from_sides),
        every_wind(weather),
        fastest,
        densest_kg_m3(weather, track.launch_ground_amsl_m),
        thinnest_kg_m3(weather, track.launch_ground_amsl_m),
    )
    slow, worst = slowest([*motions, *from_sides]), max(flown, key=_badness)
    weather, wind, motion, charge = worst
    answer = FlightAnswer(
        weather=weather,
        airspeed_given=able is not None and (able.highest_mps or able.cruise_mps) is not None,
        wind=wind,
        winds=in_winds.winds,
        motion=motion,
        sheltered=in_lee(track, in_winds.winds, mapped.ground),
        charge=charge,
        links=links_of(plan, mapped, track),
        loss=_with_nearest(
            loss_of(plan, mapped, track, quickest(in_winds.motions), in_winds.winds), track, slow
        ),
        fastest=fastest,
        as_planned=_as_planned(plan, track, (weather, motion), (home, way)),
        fast_losses=_fast_losses(plan, mapped, track, in_winds, slow),
        beneath=beneath_of(plan, world.ground_features, track, in_winds, _returns_to(plan, mapped)),
    )
    others = [one for one in flown if one is not worst] + sides
    return attrs.evolve(
        answer,
        in_other_winds=tuple(
            attrs.evolve(answer, weather=weather, wind=wind, motion=motion, charge=charge)
            for weather, wind, motion, charge in others
        ),
    )


def _with_nearest(loss: LossWays | None, track: Track, slow: Motion) -> LossWays | None:
    """Return what stays where the link is lost with how near that is as slow as it may have flown on."""
    if loss is None or loss.failsafe.action in RETURNS:
        return loss
    east, north, _ = velocity_along(track, slow)
    x_m, y_m = track.x_m + east * loss.failsafe.delay_s, track.y_m + north * loss.failsafe.delay_s
    # What has come to the ground on its way down is no farther in any wind.
    begun_m = np.hypot(loss.corner_x_m[:, 1] - track.x_m, loss.corner_y_m[:, 1] - track.y_m)
    down = (loss.waited_agl_m <= 0.0) & (np.hypot(east, north) * loss.failsafe.delay_s > begun_m)
    x_m, y_m = np.where(down, loss.corner_x_m[:, 1], x_m), np.where(down, loss.corner_y_m[:, 1], y_m)
    apart_m = np.hypot(x_m - loss.corner_x_m[:, 1], y_m - loss.corner_y_m[:, 1])
    return attrs.evolve(loss, nearest_m=(x_m, y_m)) if (apart_m > _APART_M).any() else loss


_Flown = tuple[WeatherNow, Wind, Motion, Charge | None]


def _from_each_side(plan: Plan, track: Track, weather: WeatherNow) -> list[_Flown]:
    """Return the flight in winds without one direction from each side; home has its own worst one."""
    able = plan.aircraft.performance if plan.aircraft else None
    return [
        (one, wind, fly(track, plan.path, wind, able), None)
        for one in blown_by(weather)
        if one.wind is not None and (one.from_any_side or one.between_deg)
        # From all sides every second: within 3.5 % of the wind along each leg, in half the time. Own choice.
        for wind in from_each_side(one, one.wind)[:: 2 if one.from_any_side else 1]
    ]


def _fast_losses(
    plan: Plan, mapped: Mapped, track: Track, in_winds: InWinds, slow: Motion
) -> tuple[LossWays, ...]:
    """Return what happens where the link is lost as fast as it may fly (`InWinds`).

    A return that begins at once begins where the link is lost, however fast it was.
    """
    loss = plan.aircraft.link_loss if plan.aircraft else None
    at_once = loss is not None and loss.action in RETURNS and Failsafe.of(loss).delay_s <= 0.0
    if at_once or not in_winds.fastest:
        return ()
    ways = loss_of(plan, mapped, track, quickest(in_winds.fastest), in_winds.winds)
    ways = _with_nearest(ways, track, slow)
    return () if ways is None else (ways,)


def _flown(plan: Plan, track: Track, weather: WeatherNow, back: tuple[Home | None, WayHome | None]) -> _Flown:
    home, way = back
    wind = _wind(weather, track, home)
    motion = fly(track, plan.path, wind, plan.aircraft.performance if plan.aircraft else None)
    return weather, wind, motion, charge_of(plan, track, motion, (weather, wind), way)


def _as_planned(
    plan: Plan,
    track: Track,
    flown: tuple[WeatherNow, Motion],
    back: tuple[Home | None, WayHome | None],
) -> Charge | None:
    """Return the charge at the speeds planned: who leaves out the highest airspeed flies no cheaper."""
    weather, motion = flown
    able = plan.aircraft.performance if plan.aircraft else None
    if plan.aircraft is None or able is None or able.highest_mps is not None or not motion.slowed.any():
        return None
    faster = attrs.evolve(plan.aircraft, performance=attrs.evolve(able, highest_mps=SPEED.high))
    return _flown(attrs.evolve(plan, aircraft=faster), track, weather, back)[3]


def _badness(flown: _Flown) -> tuple[float, ...]:
    """Order flights in different winds: not held, not held in gusts, least charge at home, slowest."""
    _weather, _blowing, motion, charge = flown
    left = np.nan_to_num(charge.turn_back.left_fraction, nan=-np.inf).min() if charge else 0.0
    late_s = float(np.nan_to_num(motion.late_s[-1], nan=np.inf))
    return float(not motion.held.all()), -float(left), float(not motion.held_in_gusts.all()), late_s


def home_of(plan: Plan, mapped: Mapped) -> Home | None:
    """Return where its pilot brings the aircraft home to: the landing point, else the launch point."""
    spot = plan.landing or plan.launch
    return _home(spot.place if spot else None, mapped)


def return_of(plan: Plan, mapped: Mapped) -> Home | None:
    """Return where it returns to by itself.

    The return point that is set, else where it was armed (common practice), else the landing point.
    """
    spot = plan.launch or plan.landing
    return _home(plan.return_point or (spot.place if spot else None), mapped)


def _returns_to(plan: Plan, mapped: Mapped) -> tuple[float, float] | None:
    action = plan.aircraft.link_loss if plan.aircraft else None
    home = return_of(plan, mapped) if action is not None and action.action in RETURNS else None
    return None if home is None else (home.x_m, home.y_m)


def _home(place: Place | None, mapped: Mapped) -> Home | None:
    if place is None:
        return None
    x_m, y_m = mapped.frame.place_to_xy(place)
    return Home(x_m, y_m, ground_at(place, mapped.frame, mapped.ground))


def pilot_place(plan: Plan) -> Place | None:
    """Return where the antenna on the ground stands: with whoever flies, else at the launch point."""
    for role in (Role.PERSON_AT_CONTROLS, Role.REMOTE_PILOT):
        for member in plan.crew_in(role):
            if member.place is not None:
                return member.place
    return plan.launch.place if plan.launch else None


def _wind(weather: WeatherNow, track: Track, home: Home | None) -> Wind:
    """Return the wind to reckon with; one of no or of varying direction blows against the way home."""
    if weather.wind is None:
        return CALM
    if not (weather.from_any_side or weather.between_deg) or home is None:
        return weather.wind
    dx, dy = home.x_m - track.x_m, home.y_m - track.y_m
    farthest = int(np.argmax(np.hypot(dx, dy)))
    from_deg = math.degrees(math.atan2(dx[farthest], dy[farthest])) % 360.0
    if weather.between_deg is not None and not weather.from_any_side:
        from_deg = nearest_between(from_deg, weather.between_deg)
    return attrs.evolve(weather.wind, from_true_deg=from_deg)


def links_of(plan: Plan, mapped: Mapped, track: Track) -> tuple[Link, ...]:
    """Return the radios whose budget is complete, with their margin at every sample."""
    place = pilot_place(plan)
    if plan.aircraft is None or place is None or mapped.ground is None:
        return ()
    specs = [(radio, spec) for radio in plan.aircraft.radios if (spec := LinkSpec.of(radio)) is not None]
    ground_m = ground_at(place, mapped.frame, mapped.ground)
    if math.isnan(ground_m):
        return ()
    x_m, y_m = mapped.frame.place_to_xy(place)
    cover = cover_of(plan, mapped.frame, mapped.buildings)
    profiles: dict[int, LinkProfile] = {}
    for height_m, group in _by_antenna(specs).items():
        lowest_mhz = min(spec.frequency_mhz for _, spec in group)
        antenna = Antenna(x_m, y_m, ground_m + height_m)
        paths = radio_paths(track, antenna, _surfaces(mapped), lowest_mhz, cover)
        profiles |= {id(radio): link_along(paths, spec) for radio, spec in group}
    return tuple(Link(radio, profiles[id(radio)]) for radio, _ in specs)


def _by_antenna(specs: Sequence[tuple[Radio, LinkSpec]]) -> dict[float, list[tuple[Radio, LinkSpec]]]:
    groups: dict[float, list[tuple[Radio, LinkSpec]]] = {}
    for radio, spec in specs:
        height_m = GROUND_ANTENNA_M if radio.ground_antenna_m is None else radio.ground_antenna_m
        groups.setdefault(height_m, []).append((radio, spec))
    return groups


def _surfaces(mapped: Mapped) -> tuple[PlaneTerrain, ...]:
    return (mapped.ground,) if mapped.ground else ()


def loss_of(
    plan: Plan, mapped: Mapped, track: Track, motion: Motion, winds: Sequence[Wind]
) -> LossWays | None:
    """Return what the loss of the control link does from each sample; None where that can't be known."""
    home = return_of(plan, mapped)
    action = plan.aircraft.link_loss if plan.aircraft else None
    if action is None or home is None or mapped.ground is None:
        return None
    margin_m = CLEAR_BY_M if action.clear_by_m is None else action.clear_by_m
    around = Surroundings(
        _surfaces(mapped),
        obstacles_of(mapped.obstacles.structures, mapped.frame),
        margin_m,
        cover_of(plan, mapped.frame, mapped.buildings),
        tuple(mapped.frame.place_to_xy(one.place) for one in (plan.launch, plan.landing) if one is not None),
        glides=plan.aircraft is not None and plan.aircraft.form is AircraftForm.FIXED_WING,
        own_margin=action.clear_by_m is not None,
    )
    return loss_ways(track, motion, winds, action, home, around)
