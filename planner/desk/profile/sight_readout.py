"""What the crew has of the aircraft at one distance along the path, in words; no Qt."""

import math

import numpy as np

from planner.assessment import Assessment
from planner.desk.saying import far_words, limit_words, planned_words
from planner.plan.role_words import name_or_role
from planner.rules.sight_axis import sight_axis
from planner.sight.along import Sight

SIGHT_WORDS = {
    Sight.SEEN: "seen",
    Sight.BARELY: "barely seen",
    Sight.UNTRIED: "distance not tried",
    Sight.TOO_FAR: "too far",
    Sight.HIDDEN: "hidden",
    Sight.BRIEFLY_HIDDEN: "hidden, within your own limit",
    Sight.AGAINST_SUN: "against the sun",
    Sight.UNKNOWN: "not known",
}


def sight_words(assessment: Assessment, distance_m: float) -> tuple[str, ...]:
    """Return who decides there, how it is seen and why; nothing while that is awaited."""
    track, axis = assessment.track, sight_axis(assessment.case)
    if track is None or axis is None:
        return ()
    sample = int(np.clip(np.searchsorted(track.distance_m, distance_m), 0, len(track) - 1))
    sight, member = axis.sight_at(sample), axis.person_at(sample)
    if axis.nobody_knows(sight):
        return ("sight: not known, not all who must see it stand on the map",)
    name = name_or_role(member, assessment.plan.purpose)
    away = f"{far_words(float(axis.slant_range_m[sample]))} away"
    clearance_m, spare_m = float(axis.clearance_m[sample]), float(axis.spare_m[sample])
    angle_deg = float(axis.sun_angle_deg[sample])
    details = [away]
    if sight in (Sight.HIDDEN, Sight.BRIEFLY_HIDDEN):
        details.append(
            f"line {planned_words(-clearance_m)} under {_in_the_way(assessment, member.key, sample)}"
        )
    elif math.isfinite(clearance_m) and math.isfinite(spare_m):
        # Not the least clearance: on open ground that is the eye's own height, always.
        details.append(f"in sight down to {limit_words(spare_m)} lower")
        if sight is Sight.BARELY:
            uncertain_m = spare_m - float(axis.sure_spare_m[sample])
            details.append(f"{planned_words(uncertain_m)} uncertain")
    if math.isfinite(angle_deg) and angle_deg < 90.0:
        details.append(f"sun {angle_deg:.0f}° off")
    return (f"{name}: {SIGHT_WORDS[sight]} ({', '.join(details)})",)


def _in_the_way(assessment: Assessment, key: str, sample: int) -> str:
    """Return what hides the aircraft there: 'the ground', 'the top of the building “barn”'."""
    sight = assessment.sight
    profile = next((one for one in sight.profiles if one.key == key), None) if sight else None
    if sight is None or sight.surfaces is None or profile is None or profile.behind[sample] < 0:
        return "the ground"
    return f"the top of {sight.surfaces.screens[int(profile.behind[sample])].called}"
