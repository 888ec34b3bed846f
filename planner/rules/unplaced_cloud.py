"""Reported cloud over a station of which nobody knows how high it lies: what of it can be told here."""

from collections.abc import Iterable, Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.cloud import BELOW_CLOUD_M
from planner.flight.weather_now import TYPED, WeatherNow
from planner.plan.model import Purpose
from planner.rules.bibliography import CLOUD_AND_VISIBILITY, GUIDANCE_ON_WEATHER, sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import feet
from planner.rules.flown import flown_through

LOWEST_STATION_M: Final = -100.0
"""No station of the United States lies lower [m AMSL]: their lowest land is at -86 m (from memory)."""
REPORT_REMEDY: Final = (
    "get a current report for the place and the time, and correct what is typed or the plan"
)


def cloud_of_unknown_height(case: Case, weather: WeatherNow) -> Iterator[Finding]:
    """Yield what cloud over such a station leaves open, an act where it covers less than half the sky."""
    told = weather.reported
    if told.unplaced_ceiling_m is not None and _may_be_near(case, weather, told.unplaced_ceiling_m):
        found = weather_finding(
            case,
            "cloud-of-unknown-height",
            _TITLE,
            f"{told.unplaced_source} says cloud over {share_words(told.unplaced_untold)} at "
            f"{feet(told.unplaced_ceiling_m)} "
            f"above its station, whose height is not known: it may lie far lower than this place. The flight "
            f"goes up to {_up_to(case)}. 500 ft below cloud are not certain.",
            "enter place and height of the station, type the base that you see, or fly lower",
        )
        up_m = highest_flown(one.planned_amsl_m - one.ground_amsl_m for one in flown_through(case))
        yield open_as_unseen(case, found, up_m, told.unplaced_ceiling_m)
    elif told.unplaced_part_m is not None and _may_be_near(case, weather, told.unplaced_part_m):
        found = weather_finding(
            case,
            "cloud-of-unknown-height",
            _TITLE,
            f"A report says cloud over a part of the sky at {feet(told.unplaced_part_m)} above its station, "
            f"whose height is not known: it may lie far lower than this place. The flight goes up to "
            f"{_up_to(case)}. 500 ft below it are not certain; beside it 2,000 ft are enough.",
            "enter place and height of the station, fly lower, or look at the sky",
        )
        yield attrs.evolve(found, mark=Mark.ACT)


def share_words(untold: bool) -> str:
    """Return over how much of the sky a ceiling lies, or may lie."""
    return "an untold share of the sky" if untold else "most of the sky"


_TITLE: Final = "Nobody knows how high the reported cloud is here"


def _may_be_near(case: Case, weather: WeatherNow, base_m: float) -> bool:
    """Whether a base above the station may be less than 500 ft over what is flown.

    As if the station stood on the ground flown over; where no base is typed, also as if it stood as low as
    any does.
    """
    up_m = highest_flown(one.planned_amsl_m - one.ground_amsl_m for one in flown_through(case))
    if up_m is None or up_m + BELOW_CLOUD_M > base_m:
        return True
    if any(one.source == TYPED for one in weather.clouds):
        return False
    highest_m = highest_flown(one.planned_amsl_m for one in flown_through(case))
    return highest_m is None or highest_m + BELOW_CLOUD_M > LOWEST_STATION_M + base_m


def _up_to(case: Case) -> str:
    up_m = highest_flown(one.planned_amsl_m - one.ground_amsl_m for one in flown_through(case))
    highest_m = highest_flown(one.planned_amsl_m for one in flown_through(case))
    return f"{_or_unknown(up_m)} above the ground, {_or_unknown(highest_m)} above the sea"


def _or_unknown(height_m: float | None) -> str:
    return "an unknown height" if height_m is None else feet(height_m)


def highest_flown(heights_m: Iterable[NDArray[np.float64]]) -> float | None:
    """Return the highest of the heights flown, None if one of them is not known."""
    flown = np.concatenate([np.empty(0), *heights_m])
    return float(np.max(flown)) if len(flown) and np.isfinite(flown).all() else None


def open_as_unseen(case: Case, found: Finding, flown_m: float | None, base_m: float) -> Finding:
    """Return a finding on reported cloud as an unknown where the flight would be in it, or above it.

    Nobody sees the aircraft there, and sight is the law for recreational flights, too.
    """
    if found.mark is Mark.UNKNOWN or flown_m is None or flown_m < base_m:
        return found
    seen_by = sight_rule(case.plan.purpose)
    return attrs.evolve(found, mark=Mark.UNKNOWN, basis=Basis.LAW, citation=seen_by)


def weather_finding(case: Case, rule: str, title: str, message: str, remedy: str = REPORT_REMEDY) -> Finding:
    """Return what is open by the law of Part 107, and something to do by guidance for others."""
    law = case.plan.purpose is Purpose.PART_107
    return Finding(
        rule=rule,
        mark=Mark.UNKNOWN if law else Mark.ACT,
        basis=Basis.LAW if law else Basis.SAFETY,
        title=title,
        message=message,
        citation=CLOUD_AND_VISIBILITY if law else GUIDANCE_ON_WEATHER,
        remedy=remedy,
    )
