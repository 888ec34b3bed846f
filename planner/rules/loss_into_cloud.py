"""Rules on a return on lost link that climbs into cloud, where nobody sees it, or too near to cloud."""

from collections.abc import Iterator

import numpy as np

from planner.flight.cloud import BELOW_CLOUD_M
from planner.flight.failsafe import RETURNS
from planner.flight.reported import Cloud
from planner.plan.model import Purpose
from planner.rules.bibliography import CLOUD_AND_VISIBILITY
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight, weather_waived
from planner.rules.flight_words import COMMON_PRACTICE, feet
from planner.rules.flown import flown_through
from planner.rules.loss_words import does
from planner.rules.lost_ways import losses_of
from planner.rules.words import over_ft, room_ft


def returns_into_cloud(case: Case) -> Iterator[Finding]:
    """Yield an act where a return comes above the base of cloud that covers most of the sky.

    Where the flight itself does, that is told of it.
    """
    clouds = [one for one in case.weather.clouds if one.is_ceiling] if case.weather else []
    if not clouds or not _returns(case) or waives_sight(case):
        return
    base_m, highest_m = min(one.base_amsl_m for one in clouds), _highest_m(case)
    if highest_m < base_m or _flown_at(case, base_m):
        return
    yield Finding(
        rule="link-loss-into-cloud",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="On lost link it returns in cloud",
        message=f"On lost link the aircraft {_does(case)}, up to "
        f"{over_ft(highest_m - base_m)} above the base of cloud at {feet(base_m)} above the sea: nobody sees "
        "it there, and it sees nothing.",
        citation=COMMON_PRACTICE,
        remedy="set a lower return height that still clears the ground, or wait until the cloud has lifted",
        numbers={"above_base_m": highest_m - base_m},
    )


def returns_near_cloud(case: Case) -> Iterator[Finding]:
    """Yield an act where under Part 107 a return does not keep 500 ft below cloud, and the flight does.

    The lowest such base of cloud over most of the sky is told, else of what covers less, beside which
    2,000 ft are enough: where it hangs nobody knows.
    """
    if case.weather is None or case.plan.purpose is not Purpose.PART_107 or not _returns(case):
        return
    highest_m = _highest_m(case)
    near = [one for one in case.weather.clouds if highest_m > one.base_amsl_m - BELOW_CLOUD_M]
    near = [one for one in near if not _flown_at(case, one.base_amsl_m - BELOW_CLOUD_M)]
    # In cloud over most of the sky nobody sees it: that is told.
    near = [one for one in near if not (one.is_ceiling and highest_m >= one.base_amsl_m)]
    if not near or weather_waived(case, "d"):
        return
    lowest = min(near, key=lambda one: (not one.is_ceiling, one.base_amsl_m))
    yield Finding(
        rule="link-loss-near-cloud",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title="On lost link it returns too near to cloud",
        message=f"On lost link the aircraft {_does(case)}, {_how_near(lowest, highest_m)}; 500 ft below "
        f"it are asked for.{'' if lowest.is_ceiling else ' Beside that cloud 2,000 ft are enough.'}",
        citation=CLOUD_AND_VISIBILITY,
        remedy="set a lower return height that still clears the ground, or wait until the cloud has lifted",
        numbers={"below_base_m": lowest.base_amsl_m - highest_m},
    )


def _how_near(lowest: Cloud, highest_m: float) -> str:
    base = f"at {feet(lowest.base_amsl_m)} above the sea ({lowest.source})"
    below_m = lowest.base_amsl_m - highest_m
    if below_m >= 0.0:
        return f"up to {room_ft(below_m)} under cloud {base}"
    return f"up to {over_ft(-below_m)} above the base of cloud {base}"


def _returns(case: Case) -> bool:
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    return link_loss is not None and link_loss.action in RETURNS


def _does(case: Case) -> str:
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    return "" if link_loss is None else does(case.plan, link_loss.action)


def _highest_m(case: Case) -> float:
    """Return the highest point of any return [m AMSL], -inf where there is none."""
    highest = (np.fmax.reduce(loss.highest_amsl_m, initial=-np.inf) for loss, _ in losses_of(case))
    return float(max(highest, default=-np.inf))


def _flown_at(case: Case, height_amsl_m: float) -> bool:
    """Whether the flight itself is as high anywhere."""
    return any(bool((flown.planned_amsl_m >= height_amsl_m).any()) for flown in flown_through(case))


RULES = (returns_into_cloud, returns_near_cloud)
