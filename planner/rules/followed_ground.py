"""Rules on legs that follow the ground where it falls or rises faster than the aircraft."""

from collections.abc import Iterator

import numpy as np

from planner.permission.routes import TOLERANCE_M
from planner.plan.performance import Performance
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, fine_speed
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft
from planner.track.followed import Followed, followed

ASSUMED_SLOPE = 1.0
"""45 degrees, own choice: no aircraft is taken to follow steeper ground at speed unless its rates say so."""


def falling_ground(case: Case) -> Iterator[Finding]:
    """Yield a stop where it is still above the ceiling when the ground has fallen, or an unknown."""
    flown = _flown(case)
    if flown is None or case.track is None or case.profile is None:
        return
    with np.errstate(invalid="ignore"):
        lawful_plan = case.track.planned_amsl_m <= case.profile.ceiling_amsl_m + TOLERANCE_M
        over = np.where(lawful_plan, flown.still_amsl_m - case.profile.ceiling_amsl_m, np.nan)
        above = over > TOLERANCE_M
    found = stretches(case.track, above)
    if found:
        worst = int(np.nanargmax(over))
        yield _still_above(case, found, worst, float(over[worst]))


def _still_above(case: Case, found: tuple[Stretch, ...], worst: int, over_m: float) -> Finding:
    assert case.track is not None
    stretch = next(one for one in found if one.first <= worst <= one.last)
    rate_mps = _able(case).descent_mps
    there = along(float(case.track.distance_m[worst]))
    if rate_mps is None:
        mark, title = Mark.UNKNOWN, "Whether it sinks as fast as the ground falls is not known"
        message = (
            "Of the legs that follow the ground one falls more steeply than 45 degrees. No rate of descent "
            f"is given; sinking at 45 degrees it would be {over_ft(over_m)} above the ceiling at {there}."
        )
        remedy = "give its rate of descent, or draw points that begin to sink before the edge"
    else:
        mark, title = Mark.STOP, f"{over_ft(over_m)} above the limit where the ground falls away"
        message = (
            f"The legs that follow the ground fall faster than the aircraft sinks, {fine_speed(rate_mps)} at "
            f"their speed. In still air it is {over_ft(over_m)} above the ceiling at {there}."
        )
        remedy = "fly slower there, draw points that begin to sink before the edge, or stay lower before it"
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
        place=place_at(case.track, worst),
        numbers={"over_m": over_m},
    )


def rising_ground(case: Case) -> Iterator[Finding]:
    """Yield an act where followed ground rises so steeply that nobody has said the aircraft can."""
    flown, track = _flown(case), case.track
    if flown is None or track is None or _able(case).climb_mps is not None:
        return
    with np.errstate(invalid="ignore"):
        into = flown.only_amsl_m < np.minimum(track.ground_amsl_m, track.planned_amsl_m)
    for part in stretches(track, into)[:1]:
        yield Finding(
            rule="ground-rises-too-fast",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Follows a wall",
            message=(
                f"At {along(part.from_m)} the ground that is followed rises more steeply than 45 degrees: at "
                "its speed it would fly into it unless it climbs faster than that. No rate of climb is given."
            ),
            citation=COMMON_PRACTICE,
            remedy="draw points that climb before the wall, fly slowly there, or give its rate of climb",
            from_m=part.from_m,
            to_m=part.to_m,
            place=place_at(track, part.first),
        )


def _flown(case: Case) -> Followed | None:
    if case.track is None:
        return None
    able = _able(case)
    return followed(
        case.track,
        case.plan.path,
        sink_mps=able.descent_mps,
        climb_mps=able.climb_mps,
        cruise_mps=able.believed_cruise_mps,
        assumed_slope=ASSUMED_SLOPE,
    )


def _able(case: Case) -> Performance:
    performance = case.plan.aircraft.performance if case.plan.aircraft else None
    return performance or Performance()


RULES = (falling_ground, rising_ground)
