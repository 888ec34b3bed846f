"""Why the aircraft is not seen, and what would cure it, in words."""

import math
from collections.abc import Sequence

import numpy as np

from planner.geo.time_words import day_words
from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.flight_waivers import or_waiver
from planner.rules.moments import hour_and_day
from planner.rules.must_see import demands_of
from planner.rules.stretches import Stretch
from planner.rules.words import along, over_ft
from planner.saying import Kind, Quantity
from planner.sight.along import Sight, SightProfile
from planner.sight.glare import free_shift
from planner.sight.ranges import ESTIMATE_STANDING, SightRange
from planner.sight.screens import PLAUSIBLE_M
from planner.sight.surfaces import Screen
from planner.track.track import Track

_MOST_NAMES = 3


def cause_words(
    case: Case, sight: Sight, profile: SightProfile, sample: int, ends: str, part: Stretch
) -> str:
    """Return what is after the person's name: '... can't see it from 640 m to 810 m: ...'."""
    slant = f"{_distance(float(profile.slant_range_m[sample]))} through the air"
    reach = reach_of(case, profile)
    if sight in (Sight.HIDDEN, Sight.BRIEFLY_HIDDEN):
        low = over_ft(-float(profile.clearance_m[sample]))
        if not (behind := hiding_words(case, profile, part)):
            return f"can't see it {ends}: the line of sight passes {low} under what is in the way."
        return f"can't see it {ends}: it is behind {behind}, the line of sight passes up to {low} too low."
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
    return f"may or may not see it {ends}: {_not_known(case, profile, part)}."


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
    waiver = or_waiver(case, "107.31") if case.plan.purpose is Purpose.PART_107 else ""
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
    return _to_know(case, profile, part, place)


def hiding_words(case: Case, profile: SightProfile, part: Stretch) -> str:
    """Return behind what a stretch is hidden, by name; '' where it is the ground alone."""
    surfaces = case.sight.surfaces if case.sight else None
    behind = np.unique(profile.behind[part.slice][profile.hidden[part.slice]]).tolist()
    if surfaces is None or not (screens := [surfaces.screens[k] for k in behind if k >= 0]):
        return ""
    return _joined([*(["the ground"] if behind[0] < 0 else []), *_called(screens)])


def unmeasured_of(case: Case, profile: SightProfile, part: Stretch) -> tuple[Screen, ...]:
    """Return what of unknown height may hide some of a stretch."""
    surfaces = case.sight.surfaces if case.sight else None
    which = np.unique(profile.unmeasured[part.slice][profile.unknown[part.slice]]).tolist()
    return tuple(surfaces.unmeasured[k] for k in which if k >= 0) if surfaces else ()


def unmeasured_words(screens: Sequence[Screen]) -> str:
    """Return 'the line of sight passes low over the building “barn”, whose height is not given (...)'."""
    most_m = max(PLAUSIBLE_M[screen.kind] for screen in screens)
    whose = "whose height is" if len(screens) == 1 else "whose heights are"
    return (
        f"the line of sight passes low over {_joined(_called(screens))}, {whose} not given "
        f"(up to {over_ft(most_m)} are reckoned with, an own figure)"
    )


def _not_known(case: Case, profile: SightProfile, part: Stretch) -> str:
    screens = unmeasured_of(case, profile, part)
    unknown = profile.unknown[part.slice] & (profile.unmeasured[part.slice] < 0)
    bare = "ground or height there is not known"
    if not screens:
        return bare
    return unmeasured_words(screens) + (f", and {bare} everywhere" if unknown.any() else "")


def _to_know(case: Case, profile: SightProfile, part: Stretch, place: str) -> str:
    screens = unmeasured_of(case, profile, part)
    if not screens:
        return "add terrain that covers the place they stand, the path and all between"
    return f"draw {_joined(_called(screens))} with a height, under that name, or {place}"


def _called(screens: Sequence[Screen]) -> list[str]:
    names = list(dict.fromkeys(screen.called for screen in screens))
    more = len(names) - _MOST_NAMES
    return [*names[:_MOST_NAMES], *([f"{more} more"] if more > 0 else [])]


def _joined(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def reach_of(case: Case, profile: SightProfile) -> SightRange:
    """Return how far the person of a profile sees."""
    viewers = case.sight.viewers if case.sight else ()
    return next(viewer.reach for viewer in viewers if viewer.key == profile.key)


def _tried(reach: SightRange) -> str:
    if reach.tried is not None:
        light = f", {reach.tried.light}" if reach.tried.light else ""
        return f"tried are {_distance(reach.tried.distance_m)} ({day_words(reach.tried.on)}{light})"
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
    return f"begin the window at {hour_and_day(plan.window.start_utc + shift, plan.window)}, "


def _too_far_by(profile: SightProfile, sample: int, limit_m: float | None) -> float:
    return float(profile.slant_range_m[sample]) - (limit_m or 0.0)


def _cone(case: Case) -> float:
    return case.sight.conditions.cone_deg if case.sight else 0.0


def _distance(metres: float, *, up: bool = False) -> str:
    """Return a distance feet first, never flattering: what is missing rounded up, what is there down."""
    return Quantity(Kind.FAR_UP if up else Kind.FAR_DOWN, metres)
