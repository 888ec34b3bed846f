"""Rules on straight legs drawn more steeply than the rates of climb and descent that the pilot gives.

A rotorcraft can be slowed down to keep to a steep line, and dives are flown faster than any rate of
descent. So the line drawn may hold as well as the figure: where that decides whether the flight is lawful, or
clears the ground, the answer is open. A dive put in as a figure is the pilot's plain word, and straight up or
down nothing is flown along.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.plan.figures import FigureKind
from planner.rules.bibliography import TERRAIN_CLEARANCE, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import fine_speed
from planner.rules.followed_ground import (
    Worst,
    able_of,
    above_ceiling,
    by_what_is_said,
    flown_as,
    open_by_speed,
    under_ground,
)
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft
from planner.track.track import Track

_UPRIGHT_M = 1.0
"""A leg as short as this on the map leads straight up or down."""


def drawn_too_steep_down(case: Case) -> Iterator[Finding]:
    """Yield an unknown where it would be above the ceiling if it sank no faster than its rate."""
    track, rate_mps = case.track, able_of(case).descent_mps
    if track is None or rate_mps is None:
        return
    worst = by_what_is_said(case, above_ceiling, own_word(case, track))
    as_drawn = None if worst is None else flown_as(case)
    # What is above it by the ground that is followed is told already, and weighs more.
    if worst is not None and as_drawn is not None and above_ceiling(case, as_drawn) is None:
        found = _finding(case, track, worst, rate_mps, down=True)
        yield found if worst.speed_said else open_by_speed(found)


def drawn_too_steep_up(case: Case) -> Iterator[Finding]:
    """Yield an unknown where it would meet the ground if it climbed no faster than its rate."""
    track, rate_mps = case.track, able_of(case).climb_mps
    if track is None or rate_mps is None:
        return
    worst = by_what_is_said(case, under_ground, own_word(case, track))
    as_drawn = None if worst is None else flown_as(case)
    if worst is not None and as_drawn is not None and under_ground(case, as_drawn) is None:
        found = _finding(case, track, worst, rate_mps, down=False)
        yield found if worst.speed_said else open_by_speed(found)


def own_word(case: Case, track: Track) -> NDArray[np.bool_]:
    """Return which legs are flown as drawn whatever the rates are, shape (legs,)."""
    ends = track.point_sample
    run_m = np.hypot(np.diff(track.x_m[ends]), np.diff(track.y_m[ends]))
    word = np.asarray(run_m <= _UPRIGHT_M)
    for span in case.plan.figure_spans():
        if span.figure.kind is FigureKind.DIVE:
            word[span.first : span.last] = True
    return word


def _finding(case: Case, track: Track, worst: Worst, rate_mps: float, *, down: bool) -> Finding:
    edge, there = (along(float(track.distance_m[k])) for k in (worst.left, worst.sample))
    met = along(worst.part.from_m)
    steep, sink = ("falls", "sink") if down else ("rises", "climb")
    what = "descent" if down else "climb"
    then = (
        f"it is {over_ft(worst.by_m)} above the ceiling at {there}"
        if down
        else f"it meets the ground at {met}, and lacks {over_ft(worst.by_m)} to clear it"
    )
    other = ", or make it a dive, with a rate of its own" if down else ""
    return Finding(
        rule="ground-falls-too-fast" if down else "ground-rises-too-fast",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW if down else Basis.SAFETY,
        title=f"Drawn to {sink} faster than the aircraft is said to",
        message=(
            f"From {edge} on the path {steep} more steeply than the rate of {what} that is given, "
            f"{fine_speed(rate_mps)}, allows at its speed. By that rate {then}."
        ),
        citation=height_rule(case.plan.purpose) if down else TERRAIN_CLEARANCE,
        remedy=(
            f"plan a lower speed there, draw points that begin to {sink} "
            f"{along(worst.earlier_m(case, rate_mps))} before {edge}{other}"
        ),
        from_m=worst.part.from_m,
        to_m=worst.part.to_m,
        place=place_at(track, worst.sample),
        numbers={"over_m" if down else "under_m": worst.by_m},
    )


RULES = (drawn_too_steep_down, drawn_too_steep_up)
