"""Rules on legs that follow the ground where it falls or rises faster than the aircraft."""

from collections.abc import Callable, Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import over_ways
from planner.permission.need import Rise
from planner.permission.routes import TOLERANCE_M
from planner.plan.performance import Performance
from planner.rules.bibliography import TERRAIN_CLEARANCE, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import fine_speed
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft
from planner.saying import marked
from planner.track.followed import Followed, followed, follows_ground, steepest
from planner.track.timing import ASSUMED_SPEED_MPS
from planner.track.track import Track

ASSUMED_SLOPE = 1.0
"""45 degrees, own choice: no aircraft is taken to follow steeper ground at speed unless its rates say so."""


def falling_ground(case: Case) -> Iterator[Finding]:
    """Yield a stop where it is still above the ceiling when the ground has fallen, or an unknown."""
    worst = by_what_is_said(case, above_ceiling)
    if worst is not None and case.track is not None:
        found = still_above(case, case.track, worst)
        yield found if worst.speed_said else open_by_speed(found)


def rising_ground(case: Case) -> Iterator[Finding]:
    """Yield a stop where followed ground rises faster than the aircraft climbs, or an unknown."""
    worst = by_what_is_said(case, under_ground)
    if worst is not None and case.track is not None:
        found = _into_wall(case, case.track, worst)
        yield found if worst.speed_said else open_by_speed(found)


@attrs.frozen
class Worst:
    """A stretch, the sample where it is worst, where it leaves the plan before that, and by how much [m].

    `speed_said` is whether it holds whatever a speed is that nobody said.
    """

    part: Stretch
    sample: int
    left: int
    by_m: float
    speed_said: bool = True

    def earlier_m(self, case: Case, rate_mps: float) -> float:
        """Return how much earlier it would have to begin, at its speed there [m]."""
        assert case.track is not None
        leg = case.plan.path[int(case.track.leg[self.left])].leg
        cruise_mps = able_of(case).believed_cruise_mps
        return self.by_m / steepest(leg.speed_mps or cruise_mps, rate_mps, ASSUMED_SLOPE)


def by_what_is_said(
    case: Case,
    where: Callable[[Case, Followed], Worst | None],
    own_word: NDArray[np.bool_] | None = None,
) -> Worst | None:
    """Return where a path is worst by the speeds that are said, else by the one assumed, None if nowhere."""
    flown = flown_as(case, own_word)
    worst = None if flown is None else where(case, flown)
    if worst is None:
        return None
    # As slow as it climbs or sinks it goes straight up or down, so what then holds holds at any speed.
    at_any = flown_as(case, own_word, 0.0)
    surely = None if at_any is None else where(case, at_any)
    return surely or attrs.evolve(worst, speed_said=False)


def open_by_speed(found: Finding) -> Finding:
    """Return a finding that rests on a speed which nobody said: where it was a stop it is open."""
    return attrs.evolve(
        found,
        mark=Mark.UNKNOWN if found.mark is Mark.STOP else found.mark,
        title=f"{marked(found.title)}, if it flies as fast as assumed",
        message=f"{marked(found.message)} Nobody said how fast that is flown, so only assumed: "
        f"{fine_speed(ASSUMED_SPEED_MPS)}.",
        remedy=f"enter the speed of the leg, or the aircraft's cruise speed; or {marked(found.remedy)}",
    )


def above_ceiling(case: Case, flown: Followed) -> Worst | None:
    """Return where it is farthest above the ceiling though the plan is not, None if nowhere."""
    track, profile = case.track, case.profile
    if track is None or profile is None:
        return None
    with np.errstate(invalid="ignore"):
        lawful_plan = track.planned_amsl_m <= profile.ceiling_amsl_m + TOLERANCE_M
        over = np.where(lawful_plan, flown.still_amsl_m - profile.ceiling_amsl_m, np.nan)
        over = _less_what_is_asked_for(case, track, flown, over)
        above = over > TOLERANCE_M
    if not above.any():
        return None
    worst = int(np.nanargmax(over))
    part = next(one for one in stretches(track, above) if one.first <= worst <= one.last)
    left = leaves_plan(flown.still_amsl_m - track.planned_amsl_m, worst)
    return Worst(part, worst, left, float(over[worst]))


def _less_what_is_asked_for(
    case: Case, track: Track, flown: Followed, over_m: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how far it is above the ceiling (n,) [m] where airspace asked for as flown closes nothing."""
    rows = np.flatnonzero(over_m > TOLERANCE_M)
    asked = [use for use in case.uses if use.need.not_drawn and use.need.rise is Rise.AS_FLOWN]
    if case.mapped is None or not len(rows) or all(use.need.recorded for use in asked):
        return over_m
    still_m, left_m = flown.still_amsl_m[rows], over_m.copy()
    scene = Scene(case.plan, case.mapped, case.uses)
    there = over_ways(scene, track.x_m[rows], track.y_m[rows], still_m)
    left_m[rows] = still_m - there.ceiling.amsl_m
    return left_m


def under_ground(case: Case, flown: Followed) -> Worst | None:
    """Return where it first meets ground over which the plan lies, None if nowhere."""
    track = case.track
    if track is None:
        return None
    with np.errstate(invalid="ignore"):
        under = np.minimum(track.ground_amsl_m, track.planned_amsl_m) - flown.only_amsl_m
        into = under > TOLERANCE_M
    part = next(iter(stretches(track, into)), None)
    if part is None:
        return None
    worst = part.first + int(np.argmax(under[part.slice]))
    left = leaves_plan(track.planned_amsl_m - flown.only_amsl_m, part.first)
    return Worst(part, worst, left, float(under[worst]))


def leaves_plan(off_m: NDArray[np.float64], sample: int) -> int:
    """Return the last sample before another at which it is still as high as planned."""
    with np.errstate(invalid="ignore"):
        as_planned = np.flatnonzero(~(off_m[: sample + 1] > TOLERANCE_M))
    return int(as_planned[-1]) if len(as_planned) else 0


def still_above(case: Case, track: Track, worst: Worst) -> Finding:
    """Return what is told of it: a stop, an unknown where no rate of descent is given."""
    stretch = worst.part
    rate_mps = able_of(case).descent_mps
    there = f"{along(float(track.distance_m[worst.sample]))}{_on_straight(case, track, worst.sample)}"
    edge = along(float(track.distance_m[worst.left]))
    lower = f"or stay {over_ft(worst.by_m)} lower before it"
    if rate_mps is None:
        mark, title = Mark.UNKNOWN, "Whether it sinks as fast as the ground falls is not known"
        message = (
            f"From {edge} on the ground that is followed falls more steeply than 45 degrees. No rate of "
            f"descent is given; sinking at 45 degrees it would be {over_ft(worst.by_m)} above the ceiling at "
            f"{there}."
        )
        remedy = f"give its rate of descent, draw points that begin to sink before {edge}, {lower}"
    else:
        mark, title = Mark.STOP, f"{over_ft(worst.by_m)} above the limit where the ground falls away"
        message = (
            f"From {edge} on the ground that is followed falls faster than the aircraft sinks, "
            f"{fine_speed(rate_mps)} at its speed. In still air it is {over_ft(worst.by_m)} above the "
            f"ceiling at {there}."
        )
        earlier = along(worst.earlier_m(case, rate_mps))
        remedy = f"fly slower there, draw points that begin to sink {earlier} before {edge}, {lower}"
    return Finding(
        rule="ground-falls-too-fast",
        mark=mark,
        basis=Basis.LAW,
        title=title,
        message=message,
        citation=height_rule(case.plan.purpose),
        remedy=remedy,
        from_m=stretch.from_m,
        to_m=stretch.to_m,
        place=place_at(track, worst.sample),
        numbers={
            "over_m": worst.by_m,
            "at_m": float(track.distance_m[worst.sample]),
            "edge_at_m": float(track.distance_m[worst.left]),
            **_by_rate(case, worst, rate_mps),
        },
    )


def _by_rate(case: Case, worst: Worst, rate_mps: float | None) -> dict[str, float]:
    """Return the rate of descent, and how much earlier it makes the sinking begin; nothing without one."""
    if rate_mps is None:
        return {}
    return {"descent_mps": rate_mps, "earlier_m": worst.earlier_m(case, rate_mps)}


def _into_wall(case: Case, track: Track, worst: Worst) -> Finding:
    part = worst.part
    rate_mps = able_of(case).climb_mps
    foot = along(float(track.distance_m[worst.left]))
    there = f"{along(part.from_m)}{_on_straight(case, track, part.first)}"
    if rate_mps is None:
        mark, title = Mark.UNKNOWN, "Whether it climbs as fast as the ground rises is not known"
        message = (
            f"From {foot} on the ground that is followed rises more steeply than 45 degrees. No rate of "
            f"climb is given; climbing at 45 degrees it would meet the ground at {there}."
        )
        remedy = f"give its rate of climb, or draw points that begin to climb before {foot}"
    else:
        mark, title = Mark.STOP, "Flies into ground that rises faster than it climbs"
        message = (
            f"From {foot} on the ground that is followed rises faster than the aircraft climbs, "
            f"{fine_speed(rate_mps)} at its speed. At {there} it meets the ground, and lacks "
            f"{over_ft(worst.by_m)} to clear it."
        )
        earlier = along(worst.earlier_m(case, rate_mps))
        remedy = (
            f"fly slower there, draw points that begin to climb {earlier} before {foot}, or follow it higher"
        )
    return Finding(
        rule="ground-rises-too-fast",
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation=TERRAIN_CLEARANCE,
        remedy=remedy,
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, part.first),
        numbers={"under_m": worst.by_m, "foot_at_m": float(track.distance_m[worst.left])},
    )


def _on_straight(case: Case, track: Track, sample: int) -> str:
    """Return that a sample lies on a straight leg, which itself is flown as drawn, '' where it does not."""
    followed_there = bool(follows_ground(case.plan.path)[track.leg[sample]])
    return "" if followed_there else ", on the straight leg after that"


def flown_as(
    case: Case, own_word: NDArray[np.bool_] | None = None, assumed_speed_mps: float = ASSUMED_SPEED_MPS
) -> Followed | None:
    """Return how the path is flown by the rates given; see `followed`."""
    track, able = case.track, able_of(case)
    if track is None:
        return None
    cruise_mps = able.believed_cruise_mps or assumed_speed_mps
    return case.once(
        ("flown as", None if own_word is None else own_word.tobytes(), cruise_mps),
        lambda: followed(
            track,
            case.plan.path,
            sink_mps=able.descent_mps,
            climb_mps=able.climb_mps,
            cruise_mps=cruise_mps,
            assumed_slope=ASSUMED_SLOPE,
            own_word=own_word,
        ),
    )


def able_of(case: Case) -> Performance:
    """Return what is given of the aircraft's performance."""
    performance = case.plan.aircraft.performance if case.plan.aircraft else None
    return performance or Performance()


RULES = (falling_ground, rising_ground)
