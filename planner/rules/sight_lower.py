"""By how much lower the aircraft would have to be to be near enough, in words."""

from collections.abc import Sequence

import numpy as np

from planner.plan.crew import CrewMember
from planner.rules.case import Case
from planner.rules.stretches import Stretch
from planner.rules.words import along, over_ft
from planner.sight.along import Sight
from planner.sight.over_area import LOW_M
from planner.track.track import Track


def lower_words(case: Case, track: Track, people: Sequence[CrewMember], sight: Sight, part: Stretch) -> str:
    """Return 'fly 67 ft lower at 20 m, ' where that alone brings a whole stretch near enough to all people.

    It must stay in their sight and off the ground meanwhile; '' where it doesn't, or they stand too far off.
    """
    if case.sight is None or sight not in (Sight.TOO_FAR, Sight.UNTRIED):
        return ""
    own, keys = part.slice, {member.key for member in people}
    drop_m = np.zeros(part.last - part.first + 1)
    room_m = track.planned_amsl_m[own] - track.ground_amsl_m[own] - LOW_M
    for viewer, profile in zip(case.sight.viewers, case.sight.profiles, strict=True):
        if viewer.key not in keys:
            continue
        reach_m = viewer.reach.detection_m if sight is Sight.TOO_FAR else viewer.reach.attitude_m
        if reach_m is None:
            return ""
        eye = viewer.eye
        flat_m = np.hypot(track.x_m[own] - eye.x_m, track.y_m[own] - eye.y_m)
        with np.errstate(invalid="ignore"):
            up_m = np.sqrt(reach_m**2 - flat_m**2)
        drop_m = np.maximum(drop_m, track.planned_amsl_m[own] - eye.amsl_m - up_m)
        room_m = np.minimum(room_m, profile.spare_m[own])
    # What is not known is no room.
    if not (drop_m <= room_m).all() or not drop_m.any():
        return ""
    sample = int(drop_m.argmax())
    at = along(float(track.distance_m[part.first + sample]))
    return f"fly {over_ft(float(drop_m[sample]))} lower at {at}, "
