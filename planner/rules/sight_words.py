"""Why the aircraft is not seen, and what would cure it, in words."""

import math

import numpy as np

from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.must_see import demands_of
from planner.rules.stretches import Stretch
from planner.rules.words import along, over_ft, room_ft
from planner.sight.along import Sight, SightProfile
from planner.sight.glare import free_shift
from planner.sight.ranges import ESTIMATE_STANDING, SightRange
from planner.track.track import Track

_WAIVER = ", or record a waiver of 14 CFR 107.31"


def cause_words(case: Case, sight: Sight, profile: SightProfile, sample: int, ends: str) -> str:
    """Return what is after the person's name: '... can't see it from 640 m to 810 m: ...'."""
    slant = f"{_distance(float(profile.slant_range_m[sample]))} through the air"
    reach = reach_of(case, profile)
    if sight in (Sight.HIDDEN, Sight.BRIEFLY_HIDDEN):
        low_m = -float(profile.clearance_m[sample])
        return f"can't see it {ends}: the line of sight passes {over_ft(low_m)} under what is in the way."
    if sight is Sight.TOO_FAR:
        most = _distance(reach.detection_m or 0.0)
        return (
            f"can't find it {ends}: it is up to {slant}, and at this visibility nothing is found "
            f"beyond {most} ({ESTIMATE_STANDING})."
        )
    if sight is Sight.UNTRIED:
        return f"may not be able to judge its attitude {ends}: it is up to {slant}; {_tried(reach)}."
    if sight is Sight.AGAINST_SUN:
        return (
            f"must look at it {ends} within {float(profile.sun_angle_deg[sample]):.0f}° of the sun; "
            f"within {_cone(case):.0f}° it may be lost (common practice, no rule)."
        )
    return f"may or may not see it {ends}: ground or height there is not known."


def remedy_words(
    case: Case,
    track: Track,
    sight: Sight,
    profile: SightProfile,
    sample: int,
    part: Stretch,
    place: str = "let them stand where it is seen",
) -> str:
    """Return the nearest cures of what is worst at a sample; `place` says where else to stand."""
    reach = reach_of(case, profile)
    waiver = _WAIVER if case.plan.purpose is Purpose.PART_107 else ""
    at = along(float(track.distance_m[sample]))
    if sight is Sight.HIDDEN:
        return f"{_higher(case, track, profile, part)}{place}{waiver}"
    if sight is Sight.TOO_FAR:
        far_m = _too_far_by(profile, sample, reach.detection_m)
        return f"fly nearer, or let them stand {_distance(far_m, up=True)} nearer at {at}{waiver}"
    if sight is Sight.UNTRIED:
        far_m = _too_far_by(profile, sample, reach.attitude_m)
        return (
            f"try {_distance(float(profile.slant_range_m[sample]), up=True)} with this aircraft, record it, "
            f"or fly {_distance(far_m, up=True)} nearer at {at}"
        )
    if sight is Sight.AGAINST_SUN:
        return f"{_other_hour(case, track)}{place}, or record a range tried toward the sun"
    return "add terrain that covers the place they stand, the path and all between"


def reach_of(case: Case, profile: SightProfile) -> SightRange:
    """Return how far the person of a profile sees."""
    viewers = case.sight.viewers if case.sight else ()
    return next(viewer.reach for viewer in viewers if viewer.key == profile.key)


def _tried(reach: SightRange) -> str:
    if reach.tried is not None:
        light = f", {reach.tried.light}" if reach.tried.light else ""
        return f"tried are {_distance(reach.tried.distance_m)} ({reach.tried.on.isoformat()}{light})"
    return f"nothing is tried, the estimate is {_distance(reach.estimate_m or 0.0)} ({ESTIMATE_STANDING})"


def _higher(case: Case, track: Track, profile: SightProfile, part: Stretch) -> str:
    """Return by how much higher all of the stretch would be seen, if that is allowed and a height helps."""
    spares_m = profile.spare_m[part.slice]
    if np.isnan(spares_m).all():
        return ""
    sample = part.first + int(np.nanargmin(spares_m))
    at = along(float(track.distance_m[sample]))
    rise_m = -float(profile.spare_m[sample])
    if not math.isfinite(rise_m) or rise_m <= 0 or case.profile is None:
        return ""
    room_m = float(case.profile.ceiling_amsl_m[sample] - track.planned_amsl_m[sample])
    return f"fly {over_ft(rise_m)} higher at {at}, or " if room_m >= rise_m else ""


def _other_hour(case: Case, track: Track) -> str:
    plan, answer = case.plan, case.sight
    if answer is None or plan.window is None:
        return ""
    keys = frozenset(profile.key for demand in demands_of(case) for profile in demand.profiles)
    shift = free_shift(plan, track, answer, keys)
    if shift is None:
        return ""
    start = plan.window.local(plan.window.start_utc + shift)
    day = "" if start.date() == plan.window.local(plan.window.start_utc).date() else f" on {start:%d %b}"
    return f"begin the window at {start:%H:%M}{day}, "


def _too_far_by(profile: SightProfile, sample: int, limit_m: float | None) -> float:
    return float(profile.slant_range_m[sample]) - (limit_m or 0.0)


def _cone(case: Case) -> float:
    return case.sight.conditions.cone_deg if case.sight else 0.0


def _distance(metres: float, *, up: bool = False) -> str:
    """Return a distance feet first, never flattering: what is missing rounded up, what is there down."""
    feet = over_ft(metres) if up else room_ft(metres)
    return f"{feet} ({math.ceil(metres) if up else math.floor(metres):,} m)"
