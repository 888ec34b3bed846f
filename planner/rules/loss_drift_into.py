"""Rule on airspace that wind may carry an aircraft into which lands or falls when its link is lost."""

from collections.abc import Iterator, Sequence

import attrs
import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import FlightAnswer
from planner.flight.comes_down import places_of_impact, widest_impact
from planner.flight.drift_bound import drift_is_open
from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import inquired_of
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_over_words import leave_rule
from planner.rules.loss_reached import met_by
from planner.rules.loss_words import does, lost
from planner.rules.opened import Opened, opened_of
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.track.way_samples import sample_way
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION


def drifts_into(case: Case) -> Iterator[Finding]:
    """Yield an act for each airspace beside, closed or to be asked for, that wind may carry it into.

    What it comes down through straight, and what the flight asks for, is told elsewhere. Of what is on record
    it is that part which no record opens at that height.
    """
    flight, track, mapped = case.flight, case.track, case.mapped
    if flight is None or track is None or mapped is None or flight.beneath is None or not flight.winds:
        return
    if (loss := flight.loss) is None or loss.failsafe.action in RETURNS:
        return
    places = _places(case, flight, loss)
    for column in _beside(case, mapped, places):
        opened, samples = opened_of(case, mapped, column), np.zeros(len(track), dtype=bool)
        for shape, there in _not_open(opened, track):
            for each in places:
                samples |= met_by(flight, each, shape) & there
        yield from _finding(case, loss, track, opened, samples)


def _not_open(opened: Opened, track: Track) -> Iterator[tuple[BaseGeometry, NDArray[np.bool_]]]:
    """Yield what is not open of an airspace, and of which samples (n,): those that the same records allow."""
    volume, outline = opened.mapped.airspace[opened.column], opened.mapped.outlines.polygon(opened.column)
    with np.errstate(invalid="ignore"):
        reached = track.planned_amsl_m >= floor_amsl_m(volume, track)
    if not opened.grants:
        yield outline, reached
        return
    # What it passes above the airspace takes no record.
    to_m = np.fmin(track.planned_amsl_m, top_amsl_m(volume, track))
    samples = sample_way(opened.mapped, np.column_stack([track.x_m, track.y_m]), to_m)
    allowed = opened.high_enough(samples)
    for counts in np.unique(allowed[:, reached], axis=1).T:
        shape = opened.beyond(counts) if counts.any() else outline
        if shape is not None:
            yield shape, reached & (allowed == counts[:, None]).all(axis=0)


def _places(case: Case, flight: FlightAnswer, loss: LossWays) -> Sequence[NDArray[np.float64]]:
    assert flight.beneath is not None
    slowest_mps = flight.beneath.slowest_mps if drift_is_open(case.plan) else None
    widest = widest_impact(loss, flight.winds, slowest_mps)
    told = places_of_impact(loss, flight.winds, flight.beneath.terminal_mps)
    return [told] if widest is None else [told, widest]


def _beside(case: Case, mapped: Mapped, places: Sequence[NDArray[np.float64]]) -> Iterator[int]:
    spots = np.concatenate([each.reshape(-1, 2) for each in places])
    spots = spots[np.isfinite(spots).all(axis=1)]
    if not len(spots):
        return
    asked = (use.volumes for use in case.uses if not use.need.recorded)
    told = {met.column for met in case.loss_met} | {column for columns in asked for column in columns}
    for column in map(
        int, mapped.outlines.columns_near(np.concatenate([spots.min(axis=0), spots.max(axis=0)]))
    ):
        volume = mapped.airspace.get(column)
        if volume is None or column in told or not is_active(volume, case.plan.window):
            continue
        closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
        if closes or inquired_of(volume, case.plan.purpose):
            yield column


def _finding(
    case: Case, loss: LossWays, track: Track, opened: Opened, samples: NDArray[np.bool_]
) -> Iterator[Finding]:
    if (worst := worst_of(track, samples)) is None:
        return
    volume = opened.mapped.airspace[opened.column]
    name = volume.name or "an airspace without a name"
    where, away = name, name
    if opened.grants:
        records = ", ".join(dict.fromkeys(grant.record.reference for grant in opened.grants))
        where, away = f"a part of {name} that {records} does not open", "where what is open of it ends"
    found = worst.finding(
        rule="link-loss-drifts-into",
        mark=Mark.ACT,
        title=f"On lost link the wind may carry it into {name}",
        message=f"{lost(worst.stretch)} the aircraft "
        f"{does(case.plan, loss.failsafe.action)}, and on its way down the wind may carry it into {where}.",
        remedy=f"fly farther away from {away}, in less wind or lower, or set an action that holds its place "
        "or brings it home",
    )
    yield attrs.evolve(found, basis=Basis.LAW, citation=leave_rule(case, volume))


RULES = (drifts_into,)
