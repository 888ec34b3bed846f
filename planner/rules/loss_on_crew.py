"""Rule on own crew onto whom the aircraft comes by itself after a lost link: flown over, not struck."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import shapely

from planner.flight.below import Below, Thing
from planner.flight.failsafe import RETURNS
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_flies_into import WAIT, height_m, low_over
from planner.rules.loss_reached import reached
from planner.rules.loss_words import comes_down, lost

_BESIDE_LANDING_M: Final = 20.0
"""Whoever is so near to where it starts and lands expects it there: own choice."""
TITLE: Final = "On lost link it comes onto your own crew"
REMEDY: Final = "tell them from where it comes then, let them stand elsewhere, or set another action"


def onto_crew(case: Case) -> Iterator[Finding]:
    """Yield something to do where it flies on low into crew, or comes down on them, not where it lands."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or flight.beneath is None:
        return
    if case.mapped is None or not (crew := away_from_spots(case, flight.beneath.things)):
        return
    met = np.zeros(len(track), dtype=bool)
    flown_into, down_on = set(), set()
    for k, over_m in low_over(case.mapped, flight, (loss, WAIT), crew, 0.0):
        if (low := over_m < height_m(crew[k])).any():
            met |= low
            flown_into.add(crew[k].called)
    if loss.failsafe.action not in RETURNS:
        for one in crew:
            if (down := reached(flight, loss, one)).any():
                met |= down
                down_on.add(one.called)
    if (worst := worst_of(track, met)) is None:
        return
    flies_on = f"flies on as it flew for {loss.failsafe.delay_s:g} s, as low as they are high, into "
    does_so = [flies_on + ", ".join(sorted(flown_into))] if flown_into else []
    if down_on:
        does_so.append(f"{comes_down(case.plan, loss.failsafe.action)} on {', '.join(sorted(down_on))}")
    yield worst.finding(
        rule="link-loss-on-crew",
        mark=Mark.ACT,
        title=TITLE,
        message=f"{lost(worst.stretch)} the aircraft {', or '.join(does_so)}.",
        remedy=REMEDY,
    )


def away_from_spots(case: Case, things: Sequence[Thing]) -> list[Thing]:
    """Return own crew that are not beside where it starts or lands."""
    assert case.mapped is not None
    spots = [one.place for one in (case.plan.launch, case.plan.landing) if one is not None]
    here = [shapely.Point(case.mapped.frame.place_to_xy(place)) for place in spots]
    return [
        one
        for one in things
        if one.below is Below.CREW
        and all(shapely.distance(one.shape, spot) > _BESIDE_LANDING_M for spot in here)
    ]


RULES = (onto_crew,)
