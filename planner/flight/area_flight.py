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
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import CLEAR_BY_M, Link, home_of, links_of, loss_of, pilot_place, return_of
from planner.flight.area_behind import Home, Reach, with_places_behind
from planner.flight.area_charge import AreaCharge, area_charge_of
from planner.flight.area_comes import (
    NO_WAY,
    Comes,
    airspeed_of,
    carried_in,
    comes_of,
    ended_on,
    flown_to,
    may_come,
    most_reach_m,
)
from planner.flight.area_falls import AtTop, Blows, fallen_on, farthest_m
from planner.flight.area_lee import in_lee_of
from planner.flight.area_low_links import LowLink, low_links
from planner.flight.area_places import outside_of, places_of, standing
from planner.flight.area_returns import AreaReturns, highest_under, ways_to
from planner.flight.area_waits import NO_WAIT, Waits, moved_on, waits_of
from planner.flight.below import Thing, things_beneath
from planner.flight.cover import Cover, cover_of
from planner.flight.drift_bound import drift_is_open
from planner.flight.every_wind import every_wind
from planner.flight.failsafe import RETURNS
from planner.flight.fall_zone import grown_by_m
from planner.flight.falling_air import densest_kg_m3
from planner.flight.loss_charge import dearest_return
from planner.flight.obstacles import Obstacles, obstacles_of
from planner.flight.way_home import LossWays
from planner.flight.weather_now import WeatherNow
from planner.flight.wind import Wind
from planner.plan.aircraft import AircraftForm, LinkLossAction
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain
from planner.world.sites import GroundFeature

# Charts are asked this far beyond the area; no fall from 400 ft comes farther.
_CHARTED_WITHIN_M: Final = 400.0


@attrs.frozen(eq=False)
class Nearby:
    """Something in the area or about it.

    `apart_m` is how far outside it begins, 0 inside; `drifted_on` whether wind
    carries what fails inside the area onto it, `returned_over` whether a straight
    way home from the area, or from where it has flown on to, leads over it;
    `ended_on` whether an action that stays may bring it down on it. The last three are the same for the
    farthest that it may come where its drag area is not given, or, of the last two, its airspeed, or whether
    it holds its place when it lands.
    """

    thing: Thing
    apart_m: float
    drifted_on: bool
    returned_over: bool = False
    ended_on: bool = False
    may_drift_on: bool = False
    may_end_on: bool = False
    may_return_over: bool = False


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
    most_reach_m : where no highest airspeed is given, how far what fails comes at `UNSAID_MPS`; else NaN.
    landing_m : how far a landing on lost link drifts that is not said to hold its place; NaN of any other.
    held : of a wing that holds where its link is lost: its places at the top, flown on to, and what it does.
    in_lee : its places, low in it, that lie in the lee of higher ground in any wind that counts.
    most_waits : `waits` at `UNSAID_MPS` where no airspeed is given.
    low_links : those of `links` that hold at the top and are too weak low in the area.
    charge : what the way home takes from where it takes most; None: a figure is missing.
    waits : what it meets while it flies on until its action on lost link begins.
    comes, at_most : how far what fails or acts on lost link comes, by what is given and at the most.
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
    most_reach_m: float = math.nan
    landing_m: float = math.nan
    most_waits: Waits = NO_WAIT
    in_lee: Track | None = None
    comes: Comes = NO_WAY
    at_most: Comes = NO_WAY
    held: tuple[Track, LossWays] | None = None

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
    top_m = _top_agl_m(area)
    winds = every_wind(weather)
    blows = tuple(_at_top(wind, top_m) for wind in winds)
    airspeed, is_highest = airspeed_of(plan)
    able = plan.aircraft.performance if plan.aircraft else None
    blown = max((one.mean_mps for one in blows), default=0.0)
    dense = densest_kg_m3(weather, area.launch_ground_amsl_m)
    flown = AtTop(top_m, airspeed, able.climb_mps if able else None, blown, dense)
    comes, may = comes_of(plan, flown, blows), may_come(plan, flown, blows)
    drag_open = carried_in(plan, flown, blows) if drift_is_open(plan) else ()
    lost = _lost(plan, mapped, area, winds, comes.wait_m)
    at_top = _seen_from_antenna(plan, mapped, area, at_top=True)
    links = links_of(plan, mapped, at_top)
    around = _around(plan, mapped)
    return AreaFlight(
        weather=weather,
        airspeed_mps=airspeed,
        top_agl_m=top_m,
        wind_mps=flown.wind_mps,
        gust_mps=max((one.gust_mps for one in blows), default=0.0),
        reach_m=comes.ahead_m,
        drift_m=farthest_m(comes.carried),
        most_drift_m=farthest_m(drag_open),
        most_reach_m=math.nan if is_highest else most_reach_m(plan, flown, blows),
        landing_m=farthest_m(may.landed),
        nearby=_nearby(plan, charted, mapped, area.footprint, (flown, blows)),
        links=links,
        link_places=at_top,
        losses=tuple(ways for _, ways in lost),
        places=tuple(places for places, _ in lost),
        waits=waits_of(at_top, area.footprint, comes.wait_m, around),
        most_waits=waits_of(at_top, area.footprint, may.wait_m, around) if airspeed is None else NO_WAIT,
        held=_held(plan, mapped, area, winds, comes.wait_m),
        charge=_charge(plan, mapped, area, (weather, winds), lost),
        comes=comes,
        at_most=may,
        in_lee=in_lee_of(area, mapped.frame, winds, mapped.ground),
        low_links=low_links(plan, mapped, _seen_from_antenna(plan, mapped, area, at_top=False), links, top_m)
        if links
        else (),
    )


def _around(plan: Plan, mapped: Mapped) -> tuple[PlaneTerrain | None, Obstacles, Cover]:
    """Return what an aircraft meets: ground, structures, trees and buildings."""
    structures = obstacles_of(mapped.obstacles.structures, mapped.frame)
    return mapped.ground, structures, cover_of(plan, mapped.frame, mapped.buildings)


def _seen_from_antenna(plan: Plan, mapped: Mapped, area: AreaSamples, *, at_top: bool) -> Track:
    place = pilot_place(plan)
    hub = None if place is None else mapped.frame.place_to_xy(place)
    places = places_of(area, mapped.frame, hub, at_top=at_top)
    if at_top:
        return places
    # Nobody flies in what stands there.
    _, structures, cover = _around(plan, mapped)
    return outside_of(places, cover, structures)


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
    ground, obstacles, cover = _around(plan, mapped)
    from_ground = action.action is not LinkLossAction.RETURN_HIGHEST
    found = []
    for at_top in (True, False) if from_ground else (True,):
        places = places_of(area, mapped.frame, (home.x_m, home.y_m), at_top=at_top)
        # Low in the area whatever rises about it is in the way: that is not asked (`rules.area_unjudged`).
        places = moved_on(places, wait_m, ground) if at_top else places
        if ground is not None:
            hub, on_m = Home(home.x_m, home.y_m), wait_m if at_top and wait_m > 0.0 else 0.0
            returns = AreaReturns(area, places, action, (home.x_m, home.y_m), on_m)
            clear_by_m = CLEAR_BY_M if action.clear_by_m is None else action.clear_by_m
            high = highest_under(mapped, returns, clear_by_m) if at_top else np.empty((0, 2))
            reach = Reach(ground, at_top, on_m, high)
            places = with_places_behind(places, area, hub, (obstacles, cover), reach)
        places = outside_of(places, cover, obstacles)
        if len(places) < 2:
            continue
        if (ways := loss_of(plan, mapped, places, standing(places), winds)) is not None:
            found.append((places, ways))
    return found


def _held(
    plan: Plan, mapped: Mapped, area: AreaSamples, winds: Sequence[Wind], wait_m: float
) -> tuple[Track, LossWays] | None:
    """Return where a wing holds that loses its link at the top of an area, and how; None of any other."""
    craft, home = plan.aircraft, return_of(plan, mapped)
    if craft is None or craft.link_loss is None or home is None:
        return None
    if craft.form is not AircraftForm.FIXED_WING or craft.link_loss.action is not LinkLossAction.HOLD:
        return None
    ground, obstacles, cover = _around(plan, mapped)
    places = moved_on(places_of(area, mapped.frame, (home.x_m, home.y_m), at_top=True), wait_m, ground)
    places = outside_of(places, cover, obstacles)
    if len(places) < 2 or (ways := loss_of(plan, mapped, places, standing(places), winds)) is None:
        return None
    return places, ways


def _top_agl_m(area: AreaSamples) -> float:
    height_m = area.planned_amsl_m - area.ground_amsl_m
    return float(np.max(height_m)) if len(height_m) and not np.isnan(height_m).all() else math.nan


def _at_top(wind: Wind, top_agl_m: float) -> Blows:
    """Return a wind with its speeds at the top; as measured where that height is not known."""
    if math.isnan(top_agl_m):
        return Blows(wind, wind.speed_mps, wind.gust_mps)
    mean, gust = (float(wind.at(np.array([top_agl_m]), mps)[0]) for mps in (wind.speed_mps, wind.gust_mps))
    return Blows(wind, mean, gust)


def _nearby(
    plan: Plan,
    charted: Sequence[GroundFeature],
    mapped: Mapped,
    footprint: BaseGeometry,
    flies: tuple[AtTop, Sequence[Blows]],
) -> tuple[Nearby, ...]:
    """Return what is in an area and about it; `flies`: how, and in which winds."""
    comes, may = comes_of(plan, *flies), may_come(plan, *flies)
    grown_m = grown_by_m(plan.aircraft)
    reached = [
        fallen_on(footprint, comes.carried, grown_m),
        _returned_over(plan, mapped, footprint, comes),
        ended_on(plan, footprint, comes, grown_m),
        fallen_on(footprint, carried_in(plan, *flies), grown_m) if drift_is_open(plan) else None,
        ended_on(plan, footprint, may, grown_m) if may != comes else None,
        _returned_over(plan, mapped, footprint, may) if may != comes else None,
    ]
    shapes = [footprint, *(one for one in reached if one is not None and not one.is_empty)]
    west, south, east, north = shapely.total_bounds(np.array(shapes, dtype=object))
    about = _CHARTED_WITHIN_M
    box = west - about, south - about, east + about, north + about
    return tuple(
        Nearby(
            thing,
            float(shapely.distance(footprint, thing.shape)),
            *(where is not None and bool(shapely.intersects(where, thing.shape)) for where in reached),
        )
        for thing in things_beneath(plan, charted, mapped.frame, box)
    )


def _returned_over(plan: Plan, mapped: Mapped, footprint: BaseGeometry, comes: Comes) -> BaseGeometry | None:
    """Return what straight ways home lead over, or near, from the area or from where it flew on to."""
    action = plan.aircraft.link_loss.action if plan.aircraft and plan.aircraft.link_loss else None
    home = return_of(plan, mapped) if action in RETURNS else None
    if home is None:
        return None
    return shapely.buffer(ways_to(flown_to(footprint, comes), (home.x_m, home.y_m)), CLEAR_BY_M)
