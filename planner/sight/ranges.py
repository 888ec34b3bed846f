"""How far away an aircraft can be judged, and how far away it can be found at all.

Attitude: 327 CD + 20 m for rotorcraft, 490 CD + 30 m for fixed wing, CD being
the largest dimension; detection: 0.3 of the ground visibility. European
guidance for the open and specific categories (2024), read in secondary
descriptions: an estimate of visibility, without legal force in the United
States. Both are slant distances.
"""

from collections.abc import Iterable
from datetime import date
from typing import Final

import attrs

from planner.plan.aircraft import Aircraft, AircraftForm
from planner.plan.crew import CrewMember, TriedRange
from planner.plan.model import Plan
from planner.sight.window_light import light_of

ESTIMATE_STANDING: Final = "visibility estimate, no US legal force"
_DETECTION_SHARE = 0.3
_PER_DIMENSION_AND_BASE_M = {
    AircraftForm.ROTORCRAFT: (327.0, 20.0),
    AircraftForm.FIXED_WING: (490.0, 30.0),
}


@attrs.frozen
class SightRange:
    """How far one observer sees one aircraft [m slant]; None is unknown.

    Parameters
    ----------
    estimate_m : distance at which attitude can be judged, by the estimate.
    detection_m : distance at which the aircraft can be found at all.
    tried : the observer's own range that replaces the estimate, if on record.
    """

    estimate_m: float | None = None
    detection_m: float | None = None
    tried: TriedRange | None = None

    @property
    def attitude_m(self) -> float | None:
        """The distance within which attitude can be judged [m].

        The tried range, else the estimate, never more than the detection
        distance.
        """
        judged_m = self.tried.distance_m if self.tried else self.estimate_m
        if judged_m is None or self.detection_m is None:
            return judged_m
        return min(judged_m, self.detection_m)


def attitude_estimate_m(largest_dimension_m: float, form: AircraftForm) -> float:
    """Return the distance within which an aircraft's attitude can be judged [m]."""
    per_dimension, base_m = _PER_DIMENSION_AND_BASE_M[form]
    return per_dimension * largest_dimension_m + base_m


def detection_m(visibility_m: float) -> float:
    """Return the distance within which an aircraft can be found [m]."""
    return _DETECTION_SHARE * visibility_m


def tried_range(
    tried: Iterable[TriedRange], aircraft: Aircraft, flown_on: date | None = None
) -> TriedRange | None:
    """Return the newest range tried with this aircraft (by its name), the shortest of a day.

    What is dated after the day of the flight has not been tried.
    """
    name = _plain(aircraft.name)
    matching = [
        one for one in tried if _plain(one.aircraft) == name and (flown_on is None or one.on <= flown_on)
    ]
    return max(matching, key=lambda one: (one.on, -one.distance_m), default=None)


def sight_range(
    member: CrewMember, aircraft: Aircraft | None, visibility_m: float | None, flown_on: date | None = None
) -> SightRange:
    """Return how far a crew member sees the aircraft, on the day of the flight if that is known."""
    found_m = None if visibility_m is None else detection_m(visibility_m)
    if aircraft is None:
        return SightRange(detection_m=found_m)
    return SightRange(
        estimate_m=attitude_estimate_m(aircraft.largest_dimension_m, aircraft.form),
        detection_m=found_m,
        tried=tried_range(member.tried_ranges, aircraft, flown_on),
    )


def range_in_plan(plan: Plan, member: CrewMember) -> SightRange:
    """Return how far a crew member of a plan sees its aircraft, in every light of the plan's window.

    The estimate is for daylight, and so is what was tried by day. While the sun is down only what was
    tried by dark counts, and only of an aircraft with a light; without that the range is not known.
    Where a window holds both, the shorter of both counts.
    """
    by_day = _reach(plan, member, by_dark=False)
    kinds = {span.day for span in light_of(plan)}
    if False not in kinds:
        return by_day
    tried = tried_by_dark(plan, member)
    if tried is None:
        return SightRange(detection_m=by_day.detection_m)
    by_dark = SightRange(detection_m=by_day.detection_m, tried=tried)
    if True not in kinds:
        return by_dark
    if by_day.attitude_m is not None and by_day.attitude_m < tried.distance_m:
        return by_day
    toward_sun = by_day.tried is not None and by_day.tried.against_sun
    return attrs.evolve(by_dark, tried=attrs.evolve(tried, against_sun=toward_sun))


def tried_by_dark(plan: Plan, member: CrewMember) -> TriedRange | None:
    """Return what a crew member has tried while the sun was down; None for an aircraft without a light."""
    lights = plan.aircraft.lights if plan.aircraft is not None else None
    if lights is None or not lights.anti_collision:
        return None
    return _reach(plan, member, by_dark=True).tried


def _reach(plan: Plan, member: CrewMember, *, by_dark: bool) -> SightRange:
    flown_on = plan.window.first_day if plan.window else None
    tried = tuple(one for one in member.tried_ranges if bool(one.by_dark) is by_dark)
    told = attrs.evolve(member, tried_ranges=tried)
    return sight_range(told, plan.aircraft, plan.visibility_m, flown_on)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
