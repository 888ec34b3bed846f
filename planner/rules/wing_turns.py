"""Rules on where a wing turns: beyond the corners of its path, and in circles at home on lost link."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import FlightAnswer, return_of
from planner.flight.area_flight import AreaFlight
from planner.flight.below import OF_PEOPLE, Thing
from planner.flight.failsafe import RETURNS
from planner.flight.fall_zone import grown_by_m
from planner.flight.turning import BANK_DEG, swing_m, swung_over, turn_radius_m, turned_rad
from planner.flight.way_home import Home, LossWays
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, fine_speed
from planner.rules.loss_ends import things_about
from planner.rules.loss_reached import matters
from planner.rules.loss_words import winged
from planner.rules.stretches import place_at
from planner.rules.struck_in import Flown, all_over, first_struck, untold_in
from planner.rules.words import along, over_ft
from planner.track.track import Track

MOST_NAMED: Final = 3
BANKED: Final = f"banked {BANK_DEG:.0f} degrees"


def wider_than_drawn(case: Case) -> Iterator[Finding]:
    """Yield where a wing swings out beyond a corner: an act, open where people are or it may hit."""
    flight, track = case.flight, case.track
    if flight is None or track is None or not winged(case.plan) or len(track.point_sample) <= 2:
        return
    corners = list(_corners(flight, track))
    least_m = grown_by_m(case.plan.aircraft)
    wide = [one for one in corners if one.swing_m > least_m]
    if not wide:
        return
    outside = [_outside(track, one, least_m) for one in wide]
    people = [pair for one, shape in zip(wide, outside, strict=True) for pair in _people(flight, one, shape)]
    struck = _first_struck(case, track, wide, outside)
    worst = wide[struck[0]] if struck else max(wide, key=lambda one: one.swing_m)
    worst = people[0][0] if people and not struck else worst
    names = sorted({thing.called for _, thing in people} | _untold(case, outside))
    more = f" {len(wide)} corners are like that." if len(wide) > 1 else ""
    hits = f" As low as it is there it may hit {struck[1]}." if struck else ""
    there = f"{hits} There: {', '.join(names[:MOST_NAMED])}." if names else hits
    found = Finding(
        rule="wing-turns-wider",
        mark=Mark.UNKNOWN if people or struck else Mark.ACT,
        basis=Basis.SAFETY,
        title="A wing turns wider than its path is drawn",
        message=f"At {along(worst.along_m)} it is to turn by {abs(np.degrees(worst.turned)):.0f} degrees at "
        f"{fine_speed(worst.speed_mps)}: {BANKED} it turns in a radius of {over_ft(worst.radius_m)} and "
        f"swings {over_ft(worst.swing_m)} out beyond the corner.{there}{more} What else is judged is the "
        "path as drawn.",
        citation=COMMON_PRACTICE,
        remedy="draw its turns as it flies them, with more and wider corners, or keep everybody and "
        "everything as far away",
        from_m=worst.along_m,
        to_m=worst.along_m,
        place=place_at(track, worst.sample),
        numbers={"swing_m": worst.swing_m, "radius_m": worst.radius_m},
    )
    yield by_category(case, people[0][1], found) if people and not struck else found


@attrs.frozen
class _Corner:
    sample: int
    along_m: float
    heading_rad: float
    turned: float
    speed_mps: float
    radius_m: float
    swing_m: float


def _corners(flight: FlightAnswer, track: Track) -> Iterator[_Corner]:
    at = track.point_sample
    x_m, y_m = track.x_m[at], track.y_m[at]
    legs_m = np.hypot(np.diff(x_m), np.diff(y_m))
    # A leg straight up has no direction.
    moved = np.concatenate([[True], legs_m > 0.0])
    at, x_m, y_m = at[moved], x_m[moved], y_m[moved]
    if len(at) <= 2:
        return
    legs_m = np.hypot(np.diff(x_m), np.diff(y_m))
    inner = at[1:-1]
    # Where nobody said how fast: as fast as it may be.
    motions = (flight.motion, *flight.fastest)
    speeds = np.fmax.reduce([np.fmax(one.ground_speed_mps, one.air_speed_mps) for one in motions])
    mps = np.nan_to_num(np.fmax(speeds[np.maximum(inner - 1, 0)], speeds[inner]), nan=0.0)
    radius_m = np.array([turn_radius_m(float(one)) for one in mps])
    turned = turned_rad(x_m, y_m)
    out_m = swing_m(turned, legs_m, np.maximum(radius_m, 1e-3))
    heading = np.arctan2(np.diff(y_m), np.diff(x_m))
    for k, sample in enumerate(inner.tolist()):
        yield _Corner(
            sample,
            float(track.distance_m[sample]),
            float(heading[k]),
            float(turned[k]),
            float(mps[k]),
            float(radius_m[k]),
            float(out_m[k]),
        )


def _outside(track: Track, corner: _Corner, grown_m: float) -> BaseGeometry:
    spot = float(track.x_m[corner.sample]), float(track.y_m[corner.sample])
    return shapely.buffer(swung_over(spot, corner.heading_rad, corner.turned, corner.radius_m), grown_m)


def _people(flight: FlightAnswer, corner: _Corner, outside: BaseGeometry) -> Iterator[tuple[_Corner, Thing]]:
    for thing in flight.beneath.things if flight.beneath is not None else ():
        if thing.below in OF_PEOPLE and shapely.intersects(outside, thing.shape):
            yield corner, thing


def _first_struck(
    case: Case, track: Track, corners: list[_Corner], outside: list[BaseGeometry]
) -> tuple[int, str] | None:
    if case.mapped is None:
        return None
    level_m = track.planned_amsl_m[[one.sample for one in corners]]
    places = np.stack([all_over(one) for one in outside])
    return first_struck(case.plan, case.mapped, np.array(outside, dtype=object), places, Flown(level_m))


def _untold(case: Case, outside: list[BaseGeometry]) -> set[str]:
    return set(untold_in(case.plan, case.mapped, shapely.union_all(outside))) if case.mapped else set()


def circles_at_home(case: Case) -> Iterator[Finding]:
    """Yield what a wing that came home by itself circles over: open where people are, or it is too low."""
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    flight = case.flight or case.area_flight
    if flight is None or link_loss is None or case.mapped is None or not winged(case.plan):
        return
    losses = losses_in(flight)
    home = return_of(case.plan, case.mapped)
    if link_loss.action not in RETURNS or home is None or not losses:
        return
    radius_m = turn_radius_m(losses[0].failsafe.speed_mps + _blown_mps(flight, losses, home))
    circle = shapely.buffer(shapely.Point(home.x_m, home.y_m), radius_m + grown_by_m(case.plan.aircraft))
    met = [one for one in things_about(case) if matters(one) and shapely.intersects(one.shape, circle)]
    people = [one for one in met if one.below in OF_PEOPLE]
    level_m = np.array([_lowest_amsl_m(losses)])
    hit = first_struck(case.plan, case.mapped, np.array([circle]), all_over(circle)[None], Flown(level_m))
    struck = hit[1] if hit else ""
    if not met and not struck:
        return
    names = sorted({one.called for one in met})
    over = f" It circles over {', '.join(names[:MOST_NAMED])}, and comes down about there." if names else ""
    hits = f" As low as it comes home it may hit {struck} on its circle." if struck else ""
    found = Finding(
        rule="link-loss-circles",
        mark=Mark.UNKNOWN if people or struck else Mark.ACT,
        basis=Basis.SAFETY,
        title="What a wing circles over that came home by itself",
        message=f"Home by itself it circles: {BANKED}, at {fine_speed(losses[0].failsafe.speed_mps)} and "
        f"with the wind, in a radius of {over_ft(radius_m)}.{over}{hits}",
        citation=COMMON_PRACTICE,
        remedy="set the return point where nobody is and nothing stands so far about it, or return higher",
        place=case.mapped.frame.xy_to_place(home.x_m, home.y_m),
        numbers={"radius_m": radius_m},
    )
    yield by_category(case, people[0], found, sustained=True) if people and not struck else found


def losses_in(flight: FlightAnswer | AreaFlight) -> tuple[LossWays, ...]:
    """Return what the loss of the control link does from the path's samples, or from places of the area."""
    if isinstance(flight, FlightAnswer):
        return (flight.loss,) if flight.loss is not None else ()
    return flight.losses


def _lowest_amsl_m(losses: tuple[LossWays, ...]) -> float:
    """Return how low it comes home at the lowest, inf where that is not known."""
    # What has landed before its action begins comes home no more.
    levels = np.concatenate(
        [
            loss.corner_amsl_m[:, 3] if loss.landed is None else loss.corner_amsl_m[~loss.landed, 3]
            for loss in losses
        ]
    )
    return float(np.fmin.reduce(levels, initial=np.inf))


def _blown_mps(flight: FlightAnswer | AreaFlight, losses: tuple[LossWays, ...], home: Home) -> float:
    if isinstance(flight, AreaFlight):
        return flight.wind_mps
    high_m = np.array([max(_lowest_amsl_m(losses) - home.ground_amsl_m, 0.0)])
    if not np.isfinite(high_m[0]):
        # How high it comes home nobody knows: the wind as measured.
        return max((wind.speed_mps for wind in flight.winds), default=0.0)
    return max((float(np.nan_to_num(wind.at(high_m)[0])) for wind in flight.winds), default=0.0)


RULES = (wider_than_drawn, circles_at_home)
