"""What a line of sight shows, in lines: how it clears, by what it is limited, what would help."""

import math
from collections.abc import Iterator

from planner.geo.time_words import day_words
from planner.rules.words import error_words
from planner.saying import AS_IT_COMES, UNKNOWN, Kind, Units, limit, planned, said, say, told, way
from planner.sight.crossing import Crossing
from planner.sight.line import Line
from planner.sight.ranges import ESTIMATE_STANDING, SightRange
from planner.sight.surfaces import Surfaces

_AT_THE_EYE_M = 1.0
"""Nearer than this it is the eye's own height over its own ground, and nothing in the way."""


def crossing_lines(crossing: Crossing, units: Units = AS_IT_COMES) -> tuple[str, ...]:
    """Return the lines, most telling first."""
    return tuple(_lines(crossing, units))


def _lines(crossing: Crossing, units: Units) -> Iterator[str]:
    line = crossing.line
    yield _clearance(crossing, units)
    if spare := _spare(line, units):
        yield spare
    if crossing.barely:
        under, error = (
            _both(-crossing.lifted.clearance_m, units, up=True),
            said(told(error_words(crossing.surfaces.ground.terrain)), units),
        )
        yield f"Barely seen: if the ground is {error} higher than given, the line is {under} too low."
    reach = _reach(crossing.viewer.reach, line.slant_m, units)
    yield f"{say(Kind.WAY_UP, line.slant_m, units)} through the air. {reach}"
    yield (
        f"The earth's curvature less refraction bows the line by {100 * crossing.sag_m:,.1f} cm in its "
        "middle; it is reckoned in."
    )
    yield from _looked_through(crossing.surfaces)


def _looked_through(surfaces: Surfaces) -> Iterator[str]:
    """Yield which trees and buildings are reckoned with, and which are not."""
    if surfaces.left_out:
        yield "Terrain is a surface model: what is drawn or charted is in it, and not put on it again."
    if surfaces.trees_checked:
        return
    if surfaces.screens or surfaces.unmeasured:
        yield "Of trees and buildings only what is drawn or charted is checked, on bare ground."
    else:
        yield "Bare ground: trees and buildings are not checked."


def _clearance(crossing: Crossing, units: Units) -> str:
    line = crossing.line
    if math.isnan(line.clearance_m):
        return "Ground or height under the line is not known: nobody can say whether it is free."
    clears_m, at_m = crossing.tightest
    at = f"{way(at_m, units)} from the eye"
    if line.clear is False:
        top = "what is in the way" if line.behind is None else f"the top of {line.behind.called}"
        return f"Hidden: the line passes {_both(-clears_m, units, up=True)} under {top}, {at}."
    if line.unmeasured:
        named = ", ".join(dict.fromkeys(screen.called for screen in line.unmeasured))
        return f"Not known: the line passes low over {named}, of unknown height."
    if line.clear is None:
        return (
            f"Not known all the way: where the ground is known it clears by {_both(clears_m, units)}, {at}."
        )
    if at_m < _AT_THE_EYE_M:
        return "Free: nothing on the way comes nearer to the line than the ground under the eye."
    return f"Free: it clears what is in the way by {_both(clears_m, units)}, {at}."


def _spare(line: Line, units: Units) -> str:
    if not math.isfinite(line.spare_m):
        return ""
    if line.spare_m >= 0:
        return f"The aircraft could be {_both(line.spare_m, units)} lower there and still be seen."
    touch = f"the line then touches {way(line.spare_at_m, units)} from the eye"
    return f"It is seen from {_both(-line.spare_m, units, up=True)} higher; {touch}."


def _reach(reach: SightRange, slant_m: float, units: Units) -> str:
    if reach.detection_m is None or reach.attitude_m is None:
        return "How far it is seen is not known: visibility or aircraft not given."
    kind = f"tried {day_words(reach.tried.on)}" if reach.tried else ESTIMATE_STANDING
    judged = f"attitude judged to {say(Kind.WAY_DOWN, reach.attitude_m, units)} ({kind})"
    found = f"found to {say(Kind.WAY_DOWN, reach.detection_m, units)} ({ESTIMATE_STANDING})"
    if slant_m > reach.detection_m:
        return f"Too far: {found}."
    if slant_m > reach.attitude_m:
        return f"Farther than tried: {judged}, {found}."
    return f"Within range: {judged}, {found}."


def _both(metres: float, units: Units, *, up: bool = False) -> str:
    """Return metres to a tenth, feet before them where preferred; what is there down, what is missing up."""
    if not math.isfinite(metres):
        return UNKNOWN
    scaled = math.ceil(metres * 10 - 1e-6) if up else math.floor(metres * 10 + 1e-6)
    in_metres = f"{scaled / 10:,.1f} m"
    if units.height == "m":
        return in_metres
    return f"{planned(metres, units) if up else limit(metres, units)} ({in_metres})"
