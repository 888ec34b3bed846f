"""Where somebody would have to stand to see a stretch that they miss, in words."""

import math

from planner.plan.crew import CrewMember
from planner.rules.case import Case
from planner.rules.stretches import Stretch
from planner.rules.words import room_ft
from planner.saying import Kind, Quantity
from planner.sight.nearest_place import WITHIN_M, nearest_place
from planner.track.track import Track

_COMPASS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
_SAME_PLACE_M = 1.0
_ELSEWHERE = "let them stand where it is seen"


def stand_words(case: Case, track: Track, people: tuple[CrewMember, ...], part: Stretch) -> str:
    """Return 'let them stand 246 ft (75 m) to the north (000° true), ...'; else just elsewhere.

    Only people who stand at one place are sent to another one together.
    """
    answer = case.sight
    if answer is None or answer.surfaces is None:
        return _ELSEWHERE
    keys = {member.key for member in people}
    viewers = [viewer for viewer in answer.viewers if viewer.key in keys]
    if any(viewer.reach.attitude_m is None for viewer in viewers):
        return _ELSEWHERE
    own = viewers[0].eye
    apart_m = max(math.hypot(one.eye.x_m - own.x_m, one.eye.y_m - own.y_m) for one in viewers)
    if apart_m > _SAME_PLACE_M:
        return _ELSEWHERE
    spot = nearest_place(track, answer.surfaces, viewers, answer.conditions, part.slice, answer.footing)
    allowed = answer.footing.allowed is not None
    if spot is None:
        where = "where you allow to stand, " if allowed else ""
        return f"{_ELSEWHERE} ({where}within {room_ft(WITHIN_M)} of theirs none was found)"
    east_m, north_m = spot.x_m - own.x_m, spot.y_m - own.y_m
    away_m = math.hypot(east_m, north_m)
    bearing_deg = math.degrees(math.atan2(east_m, north_m)) % 360.0
    way = f"{_COMPASS[round(bearing_deg / 45.0) % 8]} ({round(bearing_deg) % 360:03d}° true)"
    return (
        f"let them stand {Quantity(Kind.FAR_UP, away_m)} to the {way}, from where this stretch is "
        f"in sight, {'where you allow it' if allowed else 'if one may stand there'}"
    )
