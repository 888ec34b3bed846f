"""What the observer's page says, as values for the template."""

from datetime import datetime
from typing import Any

import numpy as np

from planner.assessment import Assessment
from planner.briefing.sight_words import sight_lines
from planner.briefing.words import (
    CONTACT_WORDS,
    NOT_GIVEN,
    aircraft_words,
    clock,
    direction_words,
    height_words,
    plain,
    zone_words,
)
from planner.drawing.map_path import area_key
from planner.drawing.map_people import ROLE_WORDS
from planner.drawing.map_sketch import map_sketch
from planner.drawing.path_pattern import PATTERN_WORDS, pattern_key, stretches
from planner.geo.geodesy import bearing, distance_m
from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.wording import CAUTIONS, day_and_hours, distance, planned_ft, position
from planner.world.light import SUN_DOUBT_DEG, SunTimes, earlier_minute, later_minute, sun_times

Values = dict[str, Any]

CALLS = (
    ("SEEN", "every 15 seconds, unasked"),
    ("FAINT", "you can hardly make out how it lies: pilot turns back"),
    ("LOST", "pilot stops and comes back; after 5 seconds say LAND"),
    ("AIRCRAFT", "and where: pilot drops, moves away, lands"),
    ("PEOPLE", "somebody walks in beneath: pilot breaks off"),
    ("LAND", "nearest clear ground, now"),
    ("CUT", "motors off at once"),
)
PILOT_CALL = ("BLIND", "the pilot has lost the picture: you guide, the pilot levels off and climbs clear")
_ROLE_ORDER = (Role.OBSERVER, Role.PERSON_AT_CONTROLS, Role.REMOTE_PILOT, Role.SPECTATOR)
_AT_ONCE_M = 3.0
_MAP_SIDE, _SMALL_MAP_SIDE = 292.0, 258.0
_FEW_PEOPLE = 5
_CROWD = 3


def front_page(assessment: Assessment) -> Values:
    """Return the values of page one."""
    plan = assessment.plan
    side = _MAP_SIDE if len(plan.crew) <= _FEW_PEOPLE else _SMALL_MAP_SIDE
    return {
        "verdict": assessment.verdict.words,
        "until": _until(assessment),
        "reason": plain(assessment.reason, 300),
        "warning": "" if assessment.verdict is Verdict.READY else "Not to be flown as it stands.",
        "land_by": _land_by(assessment),
        "aircraft": aircraft_words(plan.aircraft),
        "flight": _flight(assessment),
        "calls": [list(call) for call in CALLS],
        "pilot_call": list(PILOT_CALL),
        "map": map_sketch(assessment, side, side),
        "map_width": side,
        "legend": _legend(assessment),
        "people": _people(plan),
        "spectators": _spectators(plan),
        "missing_people": _missing_people(plan),
        "sun": _sun(plan),
        "cautions": list(CAUTIONS),
        "sight": [plain(line, 200) for line in sight_lines(assessment)],
    }


def heading(assessment: Assessment) -> Values:
    """Return what every page carries: name and time."""
    plan = assessment.plan
    return {
        "title": plain(plan.name, 60) or "Flight without a name",
        "when": f"{day_and_hours(plan.window)} {zone_words(plan.window)}".strip(),
    }


def _until(assessment: Assessment) -> str:
    if assessment.verdict is not Verdict.READY or assessment.valid_until_utc is None:
        return ""
    return f"until {clock(earlier_minute(assessment.valid_until_utc), assessment.plan.window)}"


def _land_by(assessment: Assessment) -> str:
    window = assessment.plan.window
    if window is None:
        return ""
    ends = [window.end_utc, *([assessment.valid_until_utc] if assessment.valid_until_utc else [])]
    return clock(earlier_minute(min(ends)), window)


def _flight(assessment: Assessment) -> str:
    track = assessment.track
    if track is None or not np.isfinite(track.distance_m).all():
        return ""
    length = f"The path is {distance(track.length_m)} long"
    if not np.isfinite(track.planned_agl_m).all():
        return f"{length}; how high above ground is not known everywhere."
    return f"{length}, up to {planned_ft(float(track.planned_agl_m.max()))} above ground."


def _legend(assessment: Assessment) -> list[Values]:
    drawn = sorted({stretch.pattern for stretch in stretches(assessment)})
    entries = [{"key": pattern_key(pattern), "words": PATTERN_WORDS[pattern]} for pattern in drawn]
    area = assessment.plan.area
    if area is None:
        return entries
    top = f", up to {height_words(area.top)}" if area.top else ""
    return [*entries, {"key": area_key(), "words": f"flying area{top}"}]


def _people(plan: Plan) -> list[Values]:
    rows = [member for member in plan.crew if not _is_in_crowd(plan, member)]
    return [
        {
            "role": ROLE_WORDS[member.role],
            "name": _name(member),
            "contact": CONTACT_WORDS[member.contact] if member.contact else NOT_GIVEN,
            "stands": _stands(plan, member),
            "position": position(member.place) if member.place and member.role is Role.OBSERVER else "",
        }
        for member in sorted(rows, key=lambda member: _ROLE_ORDER.index(member.role))
    ]


def _spectators(plan: Plan) -> str:
    names = [_name(member) for member in plan.crew if _is_in_crowd(plan, member)]
    return f"{len(names)} spectators: {', '.join(names)}." if names else ""


def _is_in_crowd(plan: Plan, member: CrewMember) -> bool:
    return member.role is Role.SPECTATOR and len(plan.crew_in(Role.SPECTATOR)) >= _CROWD


def _name(member: CrewMember) -> str:
    return plain(member.name, 24) or "name not given"


def _missing_people(plan: Plan) -> str:
    absent = [ROLE_WORDS[role] for role in (Role.OBSERVER, Role.REMOTE_PILOT) if not plan.crew_in(role)]
    return f"Nobody is named as {' or '.join(absent)}." if absent else ""


def _stands(plan: Plan, member: CrewMember) -> str:
    if member.place is None:
        return NOT_GIVEN
    if plan.launch is None:
        return position(member.place) if member.role is not Role.OBSERVER else ""
    return _from_launch(plan.launch.place, member.place)


def _from_launch(launch: Place, place: Place) -> str:
    away_m = distance_m(launch, place)
    if away_m < _AT_ONCE_M:
        return "at the launch point"
    return f"{distance(away_m)} {direction_words(bearing(launch, place).deg)} of launch"


def _sun(plan: Plan) -> list[list[str]]:
    anchor = plan.anchor()
    if anchor is None or plan.window is None:
        return [["times of sun", "not known without place and time"]]
    middle_utc = plan.window.start_utc + (plan.window.end_utc - plan.window.start_utc) / 2
    times = sun_times(anchor, middle_utc, SUN_DOUBT_DEG)

    def begins(at_utc: datetime | None, otherwise: str) -> str:
        return clock(later_minute(at_utc), plan.window) if at_utc else otherwise

    def ends(at_utc: datetime | None, otherwise: str) -> str:
        return clock(earlier_minute(at_utc), plan.window) if at_utc else otherwise

    dim, horizon = _without_twilight(times), _without_horizon(times)
    return [
        ["civil twilight begins", begins(times.begin_civil_utc, dim)],
        ["sunrise", begins(times.rise_utc, horizon)],
        ["sunset", ends(times.set_utc, horizon)],
        ["civil twilight ends", ends(times.end_civil_utc, dim)],
    ]


def _without_horizon(times: SunTimes) -> str:
    if times.never_sets:
        return "none: up all day"
    return "none: down all day" if times.never_rises else "none this day"


def _without_twilight(times: SunTimes) -> str:
    return "none: twilight all night" if times.twilight_all_night else "none this day"
