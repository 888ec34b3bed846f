"""A flight anywhere inside an area: the wind at its top, who is in it, and where what fails comes down.

Inside an area the aircraft may be anywhere, at any height up to its top, and
fly any way, so everything is judged for the worst place of it.
"""

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import CLEAR_BY_M, Link, home_of, links_of, loss_of, pilot_place, return_of
from planner.flight.area_charge import AreaCharge, area_charge_of
from planner.flight.area_low_links import LowLink, low_links
from planner.flight.area_places import outside_of, places_of, standing
from planner.flight.area_waits import NO_WAIT, Waits, moved_on, wait_reach_m, waits_of
from planner.flight.below import Thing, things_beneath
from planner.flight.cover import cover_of
from planner.flight.drift_bound import lowest_terminal_mps
from planner.flight.every_wind import every_wind
from planner.flight.failsafe import RETURNS
from planner.flight.fall import ballistic_reach_m, terminal_speed_mps
from planner.flight.fall_zone import grown_by_m
from planner.flight.loss_charge import dearest_return
from planner.flight.obstacles import obstacles_of
from planner.flight.slow_fall import slow_fall_s
from planner.flight.way_home import LossWays
from planner.flight.weather_now import WeatherNow
from planner.flight.wind import Wind
from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.sites import GroundFeature

# Charts are asked this far beyond the area; no fall from 400 ft comes farther.
_CHARTED_WITHIN_M: Final = 400.0


@attrs.frozen(eq=False)
class Nearby:
    """Something in the area or about it.

    `apart_m` is how far outside it begins, 0 inside; `drifted_on` whether wind
    carries what fails inside the area onto it, `returned_over` whether a straight
    way home from the area, or from where it has flown on to, leads over it;
    `ended_on` whether an action that stays may bring it down on it. `may_drift_on` and `may_end_on` are the
    same for the farthest that wind may carry it where no drag area is given.
    """

    thing: Thing
    apart_m: float
    drifted_on: bool
    returned_over: bool = False
    ended_on: bool = False
    may_drift_on: bool = False
    may_end_on: bool = False


@attrs.frozen(eq=False)
class AreaFlight:
    """What could be computed; NaN: an input is missing.

    Parameters
    ----------
    weather : the weather that counts for the window.
    airspeed_mps : the highest that is given, else that of cruise; None: neither.
    top_agl_m : the greatest height above ground that is flown.
    wind_mps, gust_mps : the strongest at that height, 0 where none is given.
    reach_m : how far what fails comes by its speed, without drag.
    drift_m : how far what fails comes with the wind, its own speed included; NaN without wind or drag area.
    nearby : what is in the area, and what is about it.
    links : the radios whose budget is complete, at places of the area at its top, `link_places`.
    losses : what a return on lost link does from places of the area, from the top and, where its height does
        not hang on what was flown before, from the ground; empty where nothing returns, or it is not known.
    places : for each of `losses` where it begins.
    most_drift_m : where wind is given and no drag area, the farthest that it may carry what fails; else NaN.
    low_links : those of `links` that hold at the top and are too weak low in the area.
    charge : what the way home takes from where it takes most; None: a figure is missing.
    waits : what it meets while it flies on until its action on lost link begins.
    """

    weather: WeatherNow
    airspeed_mps: float | None
    top_agl_m: float
    wind_mps: float
    gust_mps: float
    reach_m: float
    drift_m: float
    nearby: tuple[Nearby, ...]
    links: tuple[Link, ...] = ()
    link_places: Track | None = None
    losses: tuple[LossWays, ...] = ()
    places: tuple[Track, ...] = ()
    waits: Waits = NO_WAIT
    charge: AreaCharge | None = None
    low_links: tuple[LowLink, ...] = ()
    most_drift_m: float = math.nan

    @property
    def separation_m(self) -> float:
        """Distance to keep from people outside: height, reach or drift, whichever is most; NaN: not known."""
        if math.isnan(self.top_agl_m):
            return math.nan
        return float(np.fmax.reduce([self.top_agl_m, self.reach_m, self.drift_m]))


def area_flight_of(
    plan: Plan,
    mapped: Mapped | None,
    area: AreaSamples | None,
    charted: Sequence[GroundFeature],
    weather: WeatherNow,
) -> AreaFlight | None:
    """Return what can be computed of a flight in an area that is judged for itself; None without one."""
    if mapped is None or area is None:
        return None
    height_m = area.planned_amsl_m - area.ground_amsl_m
    top_m = float(np.max(height_m)) if len(height_m) and not np.isnan(height_m).all() else math.nan
    winds = every_wind(weather)
    mean = [_at_top_mps(wind, top_m, wind.speed_mps) for wind in winds]
    gusts = [_at_top_mps(wind, top_m, wind.gust_mps) for wind in winds]
    able = plan.aircraft.performance if plan.aircraft else None
    airspeed = (able.highest_mps or able.cruise_mps) if able else None
    blown = max(mean, default=0.0)
    carried, at_most = _carried(plan, winds, top_m, airspeed)
    ahead_m = 0.0 if airspeed is None else float(ballistic_reach_m(top_m, airspeed))
    reach_m = math.nan if airspeed is None else float(ballistic_reach_m(top_m, airspeed + blown))
    wait_m = wait_reach_m(plan, airspeed, blown)
    lost = _lost(plan, mapped, area, winds, wait_m)
    at_top = _seen_from_antenna(plan, mapped, area, at_top=True)
    links = links_of(plan, mapped, at_top)
    around = (
        mapped.ground,
        obstacles_of(mapped.obstacles.structures, mapped.frame),
        cover_of(plan, mapped.frame),
    )
    return AreaFlight(
        weather=weather,
        airspeed_mps=airspeed,
        top_agl_m=top_m,
        wind_mps=blown,
        gust_mps=max(gusts, default=0.0),
        reach_m=reach_m,
        drift_m=_longest(carried) + ahead_m,
        most_drift_m=_longest(at_most) + ahead_m,
        nearby=_nearby(plan, charted, mapped, area.footprint, (carried, at_most, wait_m, reach_m, ahead_m)),
        links=links,
        link_places=at_top,
        losses=tuple(ways for _, ways in lost),
        places=tuple(places for places, _ in lost),
        waits=waits_of(at_top, area.footprint, wait_m, around),
        charge=_charge(plan, mapped, area, (weather, winds), lost),
        low_links=low_links(plan, mapped, _seen_from_antenna(plan, mapped, area, at_top=False), links, top_m)
        if links
        else (),
    )


def _seen_from_antenna(plan: Plan, mapped: Mapped, area: AreaSamples, *, at_top: bool) -> Track:
    place = pilot_place(plan)
    hub = None if place is None else mapped.frame.place_to_xy(place)
    places = places_of(area, mapped.frame, hub, at_top=at_top)
    if at_top:
        return places
    # Nobody flies in what stands there.
    return outside_of(
        places, cover_of(plan, mapped.frame), obstacles_of(mapped.obstacles.structures, mapped.frame)
    )


def _charge(
    plan: Plan,
    mapped: Mapped,
    area: AreaSamples,
    air: tuple[WeatherNow, Sequence[Wind]],
    lost: Sequence[tuple[Track, LossWays]],
) -> AreaCharge | None:
    home = home_of(plan, mapped)
    hub = None if home is None else (home.x_m, home.y_m)
    places = [places_of(area, mapped.frame, hub, at_top=at_top) for at_top in (True, False)]
    charge = area_charge_of(plan, places, home, air, mapped.ground)
    if charge is None:
        return None
    dearest = dearest_return([where for where, _ in lost], [loss for _, loss in lost], charge.model)
    if dearest is None:
        return charge
    used_wh, _, loss, k = dearest
    return attrs.evolve(charge, by_itself_wh=used_wh, by_itself_s=float(loss.duration_s[k]))


def _lost(
    plan: Plan, mapped: Mapped, area: AreaSamples, winds: Sequence[Wind], wait_m: float
) -> list[tuple[Track, LossWays]]:
    """Return, from the top and from the ground, the places of an area and the returns from them."""
    action = plan.aircraft.link_loss if plan.aircraft else None
    home = return_of(plan, mapped)
    if action is None or action.action not in RETURNS or home is None:
        return []
    obstacles = obstacles_of(mapped.obstacles.structures, mapped.frame)
    from_ground = action.action is not LinkLossAction.RETURN_HIGHEST
    found = []
    for at_top in (True, False) if from_ground else (True,):
        places = places_of(area, mapped.frame, (home.x_m, home.y_m), at_top=at_top)
        # Low in the area whatever rises about it is in the way: that is not asked (`rules.area_unjudged`).
        places = moved_on(places, wait_m, mapped.ground) if at_top else places
        places = outside_of(places, cover_of(plan, mapped.frame), obstacles)
        if len(places) < 2:
            continue
        if (ways := loss_of(plan, mapped, places, standing(places), winds)) is not None:
            found.append((places, ways))
    return found


def _at_top_mps(wind: Wind, top_agl_m: float, speed_mps: float) -> float:
    """Return a wind's speed at the top; as measured where that height is not known."""
    return speed_mps if math.isnan(top_agl_m) else float(wind.at(np.array([top_agl_m]), speed_mps)[0])


def _carried(
    plan: Plan, winds: Sequence[Wind], top_agl_m: float, airspeed_mps: float | None
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Return how far each wind carries what falls from the top (east, north) [m], whichever way it flew.

    By the drag area that is given, and at the most where none is; each empty where it is not asked.
    """
    craft = plan.aircraft
    if craft is None or math.isnan(top_agl_m):
        return [], []
    area_m2 = craft.performance.drag_area_m2 if craft.performance else None
    if area_m2:
        return _blown(
            winds, top_agl_m, terminal_speed_mps(craft.take_off_weight_kg, area_m2), airspeed_mps
        ), []
    return [], _blown(winds, top_agl_m, lowest_terminal_mps(craft), airspeed_mps)


def _blown(
    winds: Sequence[Wind], top_agl_m: float, terminal_mps: float, airspeed_mps: float | None
) -> list[tuple[float, float]]:
    found = []
    for wind in winds:
        gust_mps = _at_top_mps(wind, top_agl_m, wind.gust_mps)
        # It may have flown against it.
        aside_mps = gust_mps + (airspeed_mps or 0.0)
        way_m = gust_mps * float(slow_fall_s(np.array([top_agl_m]), terminal_mps, aside_mps=aside_mps)[0])
        found.append((wind.toward()[0] * way_m, wind.toward()[1] * way_m))
    return found


def _longest(carried: Sequence[tuple[float, float]]) -> float:
    return max((math.hypot(*way) for way in carried), default=math.nan)


def _nearby(
    plan: Plan,
    charted: Sequence[GroundFeature],
    mapped: Mapped,
    footprint: BaseGeometry,
    comes: tuple[Sequence[tuple[float, float]], Sequence[tuple[float, float]], float, float, float],
) -> tuple[Nearby, ...]:
    """Return what is in an area and about it.

    `comes`: how wind carries what falls, and does at the most; how far it flies on; how far it falls ahead
    with the wind behind it, and by its airspeed alone.
    """
    carried, at_most, wait_m, reach_m, ahead_m = comes
    action = plan.aircraft.link_loss.action if plan.aircraft and plan.aircraft.link_loss else None
    home = return_of(plan, mapped) if action in RETURNS else None
    on_m = float(np.nan_to_num(wait_m, nan=0.0))
    flown_to = shapely.buffer(footprint, on_m) if on_m > 0.0 else footprint
    ways_home = None if home is None else _ways_to(flown_to, (home.x_m, home.y_m))
    west, south, east, north = (flown_to if ways_home is None else ways_home).bounds
    about = _CHARTED_WITHIN_M
    box = west - about, south - about, east + about, north + about
    grown_m = grown_by_m(plan.aircraft)
    down, may_down = (
        shapely.buffer(_swept(footprint, ways), grown_m + ahead_m) if ways else None
        for ways in (carried, at_most)
    )
    ended = _ended(plan, flown_to, (carried, reach_m, grown_m))
    may_end = _ended(plan, flown_to, (at_most, reach_m, grown_m)) if at_most else None
    return tuple(
        Nearby(
            thing,
            float(shapely.distance(footprint, thing.shape)),
            *(
                where is not None and bool(shapely.intersects(where, thing.shape))
                for where in (down, ways_home, ended, may_down, may_end)
            ),
        )
        for thing in things_beneath(plan, charted, mapped.frame, box)
    )


def _ended(
    plan: Plan, flown_to: BaseGeometry, comes: tuple[Sequence[tuple[float, float]], float, float]
) -> BaseGeometry | None:
    """Return where an action that stays may bring it down: straight, thrown ahead, or carried."""
    carried, reach_m, grown_m = comes
    action = plan.aircraft.link_loss.action if plan.aircraft and plan.aircraft.link_loss else None
    if action is None or action in RETURNS:
        return None
    falls = action is not LinkLossAction.LAND
    ended = _swept(flown_to, carried) if falls and carried else flown_to
    thrown_m = float(np.nan_to_num(reach_m, nan=0.0)) if action is LinkLossAction.DROP else 0.0
    return shapely.buffer(ended, grown_m + thrown_m)


def _edges(footprint: BaseGeometry) -> NDArray[np.float64]:
    """Return the edges of an area (n, 4): x, y of both ends."""
    corners, ring = shapely.get_coordinates(shapely.get_parts(footprint.boundary), return_index=True)
    return np.asarray(np.hstack([corners[:-1], corners[1:]])[np.diff(ring) == 0])


def _ways_to(footprint: BaseGeometry, spot: tuple[float, float]) -> BaseGeometry:
    """Return what the straight ways from everywhere in an area to a spot lead over, and a little beside."""
    edges = _edges(footprint)
    three = np.hstack([edges, np.tile(spot, (len(edges), 1))]).reshape(-1, 3, 2)
    fans = shapely.union_all(shapely.convex_hull(shapely.linestrings(three)))
    return shapely.buffer(shapely.union(footprint, fans), CLEAR_BY_M)


def _swept(footprint: BaseGeometry, carried: Sequence[tuple[float, float]]) -> BaseGeometry:
    """Return where what fails in an area may come down: the area, and wherever winds carry its points."""
    edges = _edges(footprint)
    parts = [footprint]
    for way in carried:
        moved = edges + np.tile(way, 2)
        strips = shapely.convex_hull(shapely.linestrings(np.hstack([edges, moved]).reshape(-1, 4, 2)))
        parts += [affinity.translate(footprint, *way), shapely.union_all(strips)]
    return shapely.union_all(parts)
