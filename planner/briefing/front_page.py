"""What the observer's page says, as values for the template."""

from typing import Any

import attrs
import numpy as np

from planner.assessment import Assessment
from planner.briefing.area_words import nowhere_above
from planner.briefing.calls import calls_of, pilot_call_of
from planner.briefing.eyes_words import eyes_words
from planner.briefing.facing import Facing, declination_words, facing_of, facing_words
from planner.briefing.figure_words import figure_calls
from planner.briefing.link_loss_words import link_loss_lines
from planner.briefing.moments import Moment, minutes, moments_of, place_of
from planner.briefing.no_go import no_go_boxes
from planner.briefing.on_foot import on_foot_boxes
from planner.briefing.sun_words import light_line, stand_ground_m, sun_lines
from planner.briefing.typesetting import Picture
from planner.briefing.words import CONTACT_WORDS, aircraft_words, clock, plain, zone_words
from planner.drawing.map_beneath import beneath_keys
from planner.drawing.map_facing import facing_map
from planner.drawing.map_sketch import Manner
from planner.drawing.path_pattern import of_the_whole, stretches
from planner.drawing.path_strokes import pattern_key
from planner.drawing.patterns import PATTERN_WORDS, Pattern
from planner.geo.geodesy import bearing, distance_m
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan
from planner.plan.role_words import role_words
from planner.plan.sheet import SheetNotes
from planner.rules.verdict import Verdict
from planner.track.track import Track
from planner.wording import UNKNOWN, day_and_hours, distance, nearest_ft, planned_ft, position
from planner.world.light import earlier_minute

Values = dict[str, Any]

_MOST_ROWS = 9
_SEVERAL = 2
_LETTERS = "ABCDEFGHI"
_BLANK = "________"
_MAP_POINTS = (286.0, 256.0)


def front_pages(assessment: Assessment) -> list[Values]:
    """Return a page's values for each place where an observer stands; of one page if nobody is placed."""
    placed = [one for one in assessment.plan.crew_in(Role.OBSERVER) if one.place]
    first_there = {one.place: one for one in reversed(placed)}
    apart = [one for one in placed if first_there[one.place] is one]
    if len(apart) < _SEVERAL:
        return [front_page(assessment)]
    return [
        {**front_page(seen_by(assessment, one)), "who": plain(one.name, 24) or f"observer {number}"}
        for number, one in enumerate(apart, start=1)
    ]


def seen_by(assessment: Assessment, observer: CrewMember) -> Assessment:
    """Return the same judgement told to another observer: the first of the crew is whose page it is."""
    others = (one for one in assessment.plan.crew if one is not observer)
    return attrs.evolve(assessment, plan=attrs.evolve(assessment.plan, crew=(observer, *others)))


def front_page(assessment: Assessment) -> Values:
    """Return the values of the first observer's page, with all moments for the pages behind it."""
    facing = facing_of(assessment)
    moments = moments_of(assessment)
    lettered = _lettered(moments)
    what, toward = facing_words(facing)
    ready = assessment.verdict is Verdict.READY
    return {
        "who": "",
        "verdict": assessment.verdict.words,
        "until": _until(assessment),
        "reason": plain(assessment.reason, 150),
        "warning": "" if ready else "Not to be flown as it stands.",
        "aircraft": aircraft_words(assessment.plan.aircraft),
        "calls": [list(call) for call in calls_of(assessment.plan.sheet)],
        "pilot_call": list(pilot_call_of(assessment.plan.sheet)),
        "figure_calls": figure_calls(assessment, facing),
        "stand": _stand(assessment, facing),
        "twelve": what,
        "toward": toward,
        "map": Picture(_map(assessment, facing, moments, lettered)),
        "map_width": _MAP_POINTS[0],
        "map_height": _MAP_POINTS[1],
        "legend": _legend(assessment),
        "flight": _flight(assessment, facing),
        "moments": [
            _row(assessment, facing, moment, lettered.get(number, ""), rank)
            for (number, moment), rank in zip(enumerate(moments), _order(moments), strict=True)
        ],
        "lettered": len(lettered),
        "link_loss": link_loss_lines(assessment),
        "on_foot": on_foot_boxes(assessment),
        "sun": [*sun_lines(assessment, facing), light_line(assessment)],
        "land_by": _land_by(assessment),
        "no_go": no_go_boxes(assessment),
        "place": _place(assessment),
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


def _stand(assessment: Assessment, facing: Facing | None) -> str:
    pilot = role_words(Role.REMOTE_PILOT, assessment.plan.purpose)
    nobody = "" if assessment.plan.crew_in(Role.REMOTE_PILOT) else f" Nobody is named as {pilot}."
    eyes = eyes_words(assessment.plan)
    return f"{_standing(assessment, facing)}{nobody}{f' {eyes}' if eyes else ''}"


def _standing(assessment: Assessment, facing: Facing | None) -> str:
    plan = assessment.plan
    if facing is None:
        return "No place is drawn yet: nobody knows where to stand."
    if facing.observer is None:
        missing = "Nobody is named as observer" if not plan.crew_in(Role.OBSERVER) else "Observer not placed"
        return f"{missing}. All here is told as seen from {_stands_in(plan)}."
    name = plain(facing.observer.name, 20)
    whose = f"{name}, stand" if name else "Stand"
    if plan.launch is None:
        return f"{whose} at {position(facing.stand)}."
    away_m = distance_m(plan.launch.place, facing.stand)
    if away_m < 3.0:
        return f"{whose} at the launch point{_pilot(assessment)}."
    from_launch = round(bearing(plan.launch.place, facing.stand).deg) % 360
    return f"{whose} {distance(away_m)} from launch, {from_launch:03d}° true, {position(facing.stand)}."


def _stands_in(plan: Plan) -> str:
    """Return whose place is taken where no observer has one."""
    if plan.launch is not None:
        return "launch"
    return "the first point" if plan.path else "a corner of the area"


def _pilot(assessment: Assessment) -> str:
    pilots = assessment.plan.crew_in(Role.PERSON_AT_CONTROLS) or assessment.plan.crew_in(Role.REMOTE_PILOT)
    if not pilots:
        return ""
    name = plain(pilots[0].name, 20) or "the pilot"
    observers = assessment.plan.crew_in(Role.OBSERVER)
    contact = observers[0].contact if observers else None
    return f"; {name} flies{f', {CONTACT_WORDS[contact]}' if contact else ''}"


def _map(
    assessment: Assessment, facing: Facing | None, moments: tuple[Moment, ...], lettered: dict[int, str]
) -> str:
    track = assessment.track
    marks = [
        (place_of(track, moments[number].sample), letter) for number, letter in lettered.items() if track
    ]
    if facing is None:
        return ""
    landmark = assessment.plan.sheet.landmark if assessment.plan.sheet else None
    manner = Manner(
        declination_deg=facing.declination_deg,
        declination_words=declination_words(facing.declination_deg),
        you=facing.observer.key if facing.observer else "",
        marks=tuple(marks),
        facing=facing.stand,
        landmark=(landmark.place, plain(landmark.name, 20)) if landmark else None,
    )
    return facing_map(assessment, *_MAP_POINTS, facing.toward.deg, manner)


def _legend(assessment: Assessment) -> list[Values]:
    drawn = sorted({stretch.pattern for stretch in stretches(assessment)})
    # A whole line with a stop that lies on no stretch of it would read as leave to fly.
    patterns = [] if drawn == [Pattern.CLEAR] and of_the_whole(assessment.findings) is None else drawn
    return [
        *({"key": pattern_key(pattern), "words": PATTERN_WORDS[pattern]} for pattern in patterns),
        *({"key": key, "words": words} for key, words in beneath_keys(assessment.plan.beneath)),
    ]


def _flight(assessment: Assessment, facing: Facing | None) -> str:
    track, area = assessment.track, assessment.plan.area
    if track is not None and np.isfinite(track.planned_agl_m).all():
        return (
            f"{distance(track.length_m)} of path, up to "
            f"{planned_ft(float(track.planned_agl_m.max()))} above ground."
        )
    if track is not None:
        return "How high above ground is not known everywhere."
    if area is None or facing is None:
        return "Nothing to fly is drawn yet."
    hours = [facing.clock(place) for place in area.ring]
    far_m = max(distance_m(facing.stand, place) for place in area.ring)
    span = f"corners at {', '.join(f'{hour}' for hour in dict.fromkeys(hours))} o’clock"
    height = nowhere_above(assessment)
    return f"Anywhere in the dashed area: {span}, up to {distance(far_m)} away. {height}".rstrip()


def _order(moments: tuple[Moment, ...]) -> list[int]:
    """Return for each moment how many weigh more: 0 is told first."""
    ordered = sorted(range(len(moments)), key=lambda number: -moments[number].rank)
    places = {number: place for place, number in enumerate(ordered)}
    return [places[number] for number in range(len(moments))]


def _lettered(moments: tuple[Moment, ...]) -> dict[int, str]:
    order = _order(moments)
    chosen = [number for number in range(len(moments)) if order[number] < _MOST_ROWS]
    return dict(zip(chosen, _LETTERS, strict=False))


def _row(assessment: Assessment, facing: Facing | None, moment: Moment, letter: str, rank: int) -> Values:
    track = assessment.track
    clock_words, away, above = UNKNOWN, UNKNOWN, UNKNOWN
    if facing is not None and track is not None:
        clock_words = f"{facing.clock(place_of(track, moment.sample))}"
        away, above = _away_and_above(assessment, facing, track, moment.sample)
    return {
        "letter": letter,
        "clock": clock_words,
        "after": minutes(moment.time_s),
        "away": away,
        "above": above,
        "words": moment.words,
        "rank": rank,
    }


def _away_and_above(assessment: Assessment, facing: Facing, track: Track, sample: int) -> tuple[str, str]:
    """Return the straight distance from the observer, and the height above their ground."""
    ground_m = stand_ground_m(assessment, facing)
    above_m = float(track.planned_amsl_m[sample]) - ground_m
    flat_m = distance_m(facing.stand, place_of(track, sample))
    slant_m = float(np.hypot(flat_m, above_m)) if np.isfinite(above_m) else flat_m
    # A true minus: what is below the observer must not be misread.
    return distance(slant_m), nearest_ft(above_m).replace(UNKNOWN, "?").replace("-", "−")


def _place(assessment: Assessment) -> list[list[str]]:
    plan = assessment.plan
    notes = plan.sheet or SheetNotes()
    return [
        ["Launch", position(plan.launch.place) if plan.launch else "not drawn"],
        ["Emergency", plain(notes.emergency_number, 40) or _BLANK],
        ["Gate", plain(notes.gate, 70) or _BLANK],
        ["First aid", plain(notes.first_aid, 60) or _BLANK],
        ["Extinguisher", plain(notes.extinguisher, 60) or _BLANK],
    ]
