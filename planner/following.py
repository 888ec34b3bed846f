"""The questions that take longer than a move of the mouse.

Each is one function that takes the case the live part has laid out and returns
it with its own answer filled in; what the answer means is for its rules in
`planner.rules`, joined to those that follow in `planner.rules.judge`. A further
question is one more function in `_QUESTIONS`.
"""

import math
from collections.abc import Callable, Iterable

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.above_ground import least_room_m, tops_above_ground
from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import OverWays, met_beneath, met_straight_up, outlines_about, over_ways
from planner.ceiling.under_floors import under_floors
from planner.flight.answer import flight_of, return_of
from planner.flight.area_flight import AreaFlight, area_flight_of
from planner.flight.area_returns import AreaReturns, led_over, over_lowest_of_area
from planner.flight.failsafe import RETURNS
from planner.flight.return_ground import over_highest_ground, over_lowest_ground
from planner.flight.return_places import (
    ReturnPlaces,
    between_edges,
    chosen_ways,
    passed_between,
)
from planner.flight.thrown_places import thrown_places
from planner.flight.upright import upright, ways_down
from planner.flight.wait_ground import deepest_of_waits, places_of_waits
from planner.flight.way_home import LossWays
from planner.flight.weather_now import told_stronger, told_temperature, weather_now
from planner.geo.progress import Progress, Unwatched
from planner.permission.routes import TOLERANCE_M
from planner.plan.weather import PlannedWeather
from planner.rules.case import AboveAsked, AskedOnReturn, Case, MetOnLoss, OverOnReturn
from planner.rules.flown_higher import ways_as_flown
from planner.rules.need_on_return import with_airspace_on_return, with_heights_on_return
from planner.sight.answer import sight_of
from planner.track.samples import AreaSamples

Floats = NDArray[np.float64]

# Returns put to the ceiling, and places of each; more where they meet outlines and lower ground.
_MOST_RETURNS = 60
_CEILING_STEP_M = 100.0
# Of what stays: so many places where the link is lost, and those where it flies on highest.
_MOST_WAITS = 10_000

Question = Callable[[Case, Progress], Case]


def followed(case: Case, progress: Progress | None = None) -> Case:
    """Return the case with all following questions answered; pure."""
    progress = Unwatched() if progress is None else progress
    for done, question in enumerate(_QUESTIONS):
        progress.report(done / len(_QUESTIONS))
        case = question(case, progress)
    return case


def _who_sees(case: Case, _progress: Progress) -> Case:
    area = case.area_samples if case.area is not None else None
    return attrs.evolve(case, sight=sight_of(case.plan, case.mapped, case.track, area, case.world))


def _what_weather(case: Case, _progress: Progress) -> Case:
    flown = case.track or case.area_samples
    launch_m = flown.launch_ground_amsl_m if flown else math.nan
    return attrs.evolve(case, weather=weather_now(case.plan, case.world.aerodromes, launch_m))


def _comes_home(case: Case, _progress: Progress) -> Case:
    assert case.weather is not None
    flight = flight_of(case.plan, case.mapped, case.track, case.world, case.weather)
    area = case.area_samples if case.area is not None else None
    in_area = area_flight_of(case.plan, case.mapped, area, case.world.ground_features, case.weather)
    by_report, in_told_air = _by_report(case, area), _in_told_air(case, area)
    put = _put(case, flight.loss if flight else None)
    # Places of an area stand in no order: nothing lies between one and the next.
    put_of_area = _put_of_area(case, area, in_area)
    returned = tuple(one.places for one in (put, *put_of_area) if one is not None)
    case = with_airspace_on_return(attrs.evolve(case, flight=flight, area_flight=in_area, returned=returned))
    over = None if put is None else _over_ceiling(case, put)
    over_area = [_over_ceiling(case, one) for one in put_of_area if one is not None]
    waits = _waits_over(case, flight.loss if flight else None)
    rises = [one.rises_m for one in (*([over] if over else []), *over_area)]
    answered = attrs.evolve(
        case,
        waits_over_m=waits.over_m if waits else None,
        waits_over=waits.met if waits else None,
        loss_over_ceiling_m=over.over_m if over else None,
        loss_asked=over.asked if over else None,
        loss_over=over.met if over else None,
        area_loss_over=tuple(one.met for one in over_area),
        loss_above_asked=over.above_asked if over else waits.above_asked if waits else None,
        loss_met=_comes_down_into(case, flight.loss if flight else None),
        area_loss_over_ceiling_m=tuple(one.over_m for one in over_area),
        area_loss_asked=tuple(one.asked for one in over_area),
        rises_as_flown=_rises(as_flown) if (as_flown := ways_as_flown(case)) is not None else {},
        rises_on_return=_most([*rises, *([waits.rises_m] if waits else [])]),
        area_loss_above_asked=tuple(one.above_asked for one in over_area),
        by_report=by_report,
        in_told_air=in_told_air,
    )
    return with_heights_on_return(answered)


def _by_report(case: Case, area: AreaSamples | None) -> Case | None:
    """Return the case in the wind of the reports, where that is stronger than the one typed."""
    plan, weather = case.plan, case.weather
    if weather is None or plan.weather is None or told_stronger(weather) is None:
        return None
    return _flown_in(case, area, attrs.evolve(plan.weather, wind=None))


def _in_told_air(case: Case, area: AreaSamples | None) -> Case | None:
    """Return the case at the reported temperature that is farthest from the one typed."""
    plan, weather = case.plan, case.weather
    if weather is None or plan.weather is None:
        return None
    told = told_temperature(weather, plan.weather.temperature_c)
    return None if told is None else _flown_in(case, area, attrs.evolve(plan.weather, temperature_c=told[0]))


def _flown_in(case: Case, area: AreaSamples | None, weather: PlannedWeather) -> Case:
    """Return the case flown in another weather."""
    untyped = attrs.evolve(case.plan, weather=weather)
    flown = case.track or case.area_samples
    launch_m = flown.launch_ground_amsl_m if flown else math.nan
    told = weather_now(untyped, case.world.aerodromes, launch_m)
    return attrs.evolve(
        case,
        plan=untyped,
        weather=told,
        flight=flight_of(untyped, case.mapped, case.track, case.world, told),
        area_flight=area_flight_of(untyped, case.mapped, area, case.world.ground_features, told),
    )


@attrs.frozen(eq=False)
class _OverCeiling:
    """How far returns (n,) come above the ceiling [m], what they enter, and what is asked for anyway."""

    over_m: Floats
    met: OverOnReturn
    asked: AskedOnReturn
    above_asked: AboveAsked
    rises_m: dict[int, float]


def _over_ceiling(case: Case, put: "_Put") -> _OverCeiling:
    """Return, per sample, how far its return on lost link comes above the ceiling, and what it enters."""
    assert case.mapped is not None
    scene, places, count = Scene(case.plan, case.mapped, case.uses), put.places, put.count
    owner, there = places.owner, over_ways(scene, places.x_m, places.y_m, places.amsl_m)
    over_m = np.full(count, -np.inf)
    with np.errstate(invalid="ignore"):
        above_m = places.amsl_m - there.ceiling.amsl_m
        np.fmax.at(over_m, owner, above_m)
    # What comes above a known ceiling does so, whatever is not known elsewhere on that way.
    doubtful = np.zeros(len(over_m), dtype=bool)
    doubtful[owner[np.isnan(above_m)]] = True
    return _OverCeiling(
        np.where(doubtful & ~(over_m > TOLERANCE_M), np.nan, over_m),
        _met(count, places, there, above_m),
        AskedOnReturn(*_farthest(count, owner, there.asked, there.above_m + put.above_m)),
        AboveAsked(*_farthest(count, owner, there.wanting, there.above_asked_m + put.above_m)),
        _rises(there),
    )


@attrs.frozen(eq=False)
class _WaitsOver:
    """How far above the ceiling (n,), and above what is to be asked for, what stays flies on."""

    over_m: Floats
    met: OverOnReturn
    above_asked: AboveAsked
    rises_m: dict[int, float]


def _waits_over(case: Case, loss: LossWays | None) -> _WaitsOver | None:
    """Return how far above the ceiling what stays comes while it flies on, where the path itself does not.

    What drops falls on from there, thrown ahead: over lower ground it is above a ceiling there as well.
    """
    if loss is None or case.mapped is None or loss.failsafe.action in RETURNS:
        return None
    count = len(loss.clearance_m)
    scene = Scene(case.plan, case.mapped, case.uses)
    about = loss.corner_x_m, loss.corner_y_m
    room_m, (_, edges) = least_room_m(scene, *about), outlines_about(scene, *about)
    waits = places_of_waits(loss, _MOST_WAITS, case.mapped.ground, edges, room_m)
    places = waits.and_these(thrown_places(loss, case.mapped.ground, room_m))
    there = over_ways(scene, places.x_m, places.y_m, places.amsl_m)
    with np.errstate(invalid="ignore"):
        above_m = np.nan_to_num(places.amsl_m - there.ceiling.amsl_m, nan=-np.inf)
    # What is shut from the ground up is asked of where it comes down.
    above_m[there.from_ground] = -np.inf
    # So is what is closed and a fall comes down through.
    closed = np.isin(there.ceiling.column, list(case.mapped.airspace)) & ~there.ceiling.permitted
    above_m[np.flatnonzero(closed & (np.arange(len(closed)) >= len(waits.owner)))] = -np.inf
    over_m = np.full(count, -np.inf)
    lost_at = np.flatnonzero(np.diff(waits.owner, prepend=-1) != 0)
    # Where the path itself comes above it, that is the cause, and cured first.
    if not (above_m[lost_at] > TOLERANCE_M).any():
        np.fmax.at(over_m, places.owner, above_m)
    return _WaitsOver(
        over_m,
        _met(count, places, there, above_m),
        AboveAsked(*_farthest(count, places.owner, there.wanting, there.above_asked_m)),
        _rises(there),
    )


def _rises(there: OverWays) -> dict[int, float]:
    """Return, by column of an airspace to ask for, how far above the height needed there ways come [m]."""
    return {
        one: max(above_m, 0.0) for one, above_m in there.most_above_asked_m.items() if above_m > -math.inf
    }


def _most(found: Iterable[dict[int, float]]) -> dict[int, float]:
    most: dict[int, float] = {}
    for rises_m in found:
        for column, rise_m in rises_m.items():
            most[column] = max(most.get(column, 0.0), rise_m)
    return most


def _met(count: int, put: ReturnPlaces, there: OverWays, above_m: Floats) -> OverOnReturn:
    """Return, per sample, that place of its return which comes farthest above what is allowed."""
    # The last assigned stays, an unknown height before all.
    order = np.argsort(np.nan_to_num(above_m, nan=-np.inf), kind="stable")
    place = np.zeros(count, dtype=np.int64)
    place[put.owner[order]] = order
    column = np.full(count, -1, dtype=np.int64)
    column[put.owner] = there.ceiling.column[place[put.owner]]
    return OverOnReturn(
        column, put.x_m[place], put.y_m[place], there.from_ground[place], there.ceiling.permitted[place]
    )


def _farthest(
    count: int, owner: NDArray[np.int64], column: NDArray[np.int64], above_m: Floats
) -> tuple[NDArray[np.int64], Floats]:
    """Return, per sample, the airspace of that place of its return which is farthest above, and how far."""
    columns, most_m = np.full(count, -1, dtype=np.int64), np.full(count, -np.inf)
    # Of several places of one return the last assigned stays: the one farthest above.
    order = np.argsort(above_m)
    order = order[column[order] >= 0]
    columns[owner[order]], most_m[owner[order]] = column[order], above_m[order]
    return columns, most_m


def _comes_down_into(case: Case, loss: LossWays | None) -> tuple[MetOnLoss, ...]:
    """Return what airspace an action that stays where it is comes down through."""
    if loss is None or case.mapped is None or loss.failsafe.action in RETURNS:
        return ()
    down = ways_down(loss)
    scene = Scene(case.plan, case.mapped, case.uses)
    found = []
    for block, met in met_beneath(scene, down.x_m, down.y_m, down.low_m, down.high_m):
        samples = np.zeros(len(loss.clearance_m), dtype=bool)
        samples[down.owner[met]] = True
        found.append(MetOnLoss(block.column, samples, block.unsettled))
    return tuple(found)


@attrs.frozen(eq=False)
class _Put:
    """Places of the returns (n,) of so many samples that are put to the ceiling.

    `above_m`: how far above a height the way leads straight on up [m].
    """

    count: int
    places: ReturnPlaces
    above_m: Floats


def _put(case: Case, loss: LossWays | None, *, in_row: bool = True) -> _Put | None:
    """Return what is put to the ceiling, None where nothing returns.

    `in_row`: whether samples are flown one after the other.
    """
    if loss is None or case.mapped is None or loss.failsafe.action not in RETURNS:
        return None
    scene, count = Scene(case.plan, case.mapped, case.uses), len(loss.clearance_m)
    every = max(count // _MOST_RETURNS, 1)
    closing, every_one = outlines_about(scene, loss.corner_x_m, loss.corner_y_m)
    chosen = chosen_ways(loss, every, closing)
    owner, x_m, y_m, amsl_m = loss.points(_CEILING_STEP_M, chosen)
    room_m = least_room_m(scene, loss.corner_x_m, loss.corner_y_m)
    raising = {id(scene.mapped.outlines.shapes[column]) for column in scene.mapped.structures}
    more = (
        between_edges(loss, chosen, every_one)
        .and_these(passed_between(loss, closing if in_row else ()))
        .and_these(over_lowest_ground(loss, scene.mapped.ground, room_m, every_one, raising))
        .and_these(deepest_of_waits(loss, _MOST_WAITS, scene.mapped.ground, every_one, room_m))
        .and_these(over_highest_ground(loss, scene.mapped.ground, tops_above_ground(scene), every_one))
    )
    up = upright(loss, chosen)
    met, met_m = met_straight_up(scene, up.x_m, up.y_m, up.low_m, up.high_m)
    under, under_m = under_floors(scene, up.x_m, up.y_m, up.low_m, up.high_m)
    more = more.and_these(ReturnPlaces(up.owner[under], up.x_m[under], up.y_m[under], under_m))
    places = (
        ReturnPlaces(owner, x_m, y_m, amsl_m)
        .and_these(more)
        .and_these(ReturnPlaces(up.owner[met], up.x_m[met], up.y_m[met], met_m))
    )
    above_m = np.concatenate([np.zeros(len(owner) + len(more.owner)), up.high_m[met] - met_m])
    return _Put(count, places, above_m)


def _put_of_area(case: Case, area: AreaSamples | None, flight: AreaFlight | None) -> list[_Put | None]:
    """Return what of returns from a flying area is put to the ceiling: the lowest ground they pass, too."""
    if area is None or flight is None:
        return []
    found = [_put(case, loss, in_row=False) for loss in flight.losses]
    action = case.plan.aircraft.link_loss if case.plan.aircraft else None
    home = None if case.mapped is None else return_of(case.plan, case.mapped)
    if not found or found[0] is None or action is None or home is None or case.mapped is None:
        return found
    # From its top it returns no lower than from below.
    on_m = flight.comes.wait_m if flight.comes.wait_m > 0.0 else 0.0
    returns = AreaReturns(area, flight.places[0], action, (home.x_m, home.y_m), on_m)
    scene, about = Scene(case.plan, case.mapped, case.uses), np.array(led_over(returns).bounds)
    room_m = least_room_m(scene, about[::2], about[1::2])
    closing, _ = outlines_about(scene, about[::2], about[1::2])
    more = over_lowest_of_area(case.mapped, returns, room_m, closing)
    above_m = np.append(found[0].above_m, np.zeros(len(more.owner)))
    return [_Put(found[0].count, found[0].places.and_these(more), above_m), *found[1:]]


_QUESTIONS: tuple[Question, ...] = (_who_sees, _what_weather, _comes_home)
