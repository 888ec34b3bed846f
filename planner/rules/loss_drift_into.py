"""Rule on airspace that wind may carry an aircraft into which lands or falls when its link is lost."""

from collections.abc import Iterator, Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.comes_down import places_of_impact, widest_impact
from planner.flight.drift_bound import drift_is_open
from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.permission.entries import floor_amsl_m, is_active
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import grants_for
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_over_words import leave_rule
from planner.rules.loss_reached import met_by
from planner.rules.loss_words import does
from planner.rules.words import along
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume


def drifts_into(case: Case) -> Iterator[Finding]:
    """Yield an act for each airspace beside, closed or to be asked for, that wind may carry it into.

    What it comes down through straight, what the flight asks for or has on record is told elsewhere.
    """
    flight, track, mapped = case.flight, case.track, case.mapped
    if flight is None or track is None or mapped is None or flight.beneath is None or not flight.winds:
        return
    if (loss := flight.loss) is None or loss.failsafe.action in RETURNS:
        return
    places = _places(case, flight, loss)
    for column, volume in _beside(case, mapped, places):
        with np.errstate(invalid="ignore"):
            reached = track.planned_amsl_m >= floor_amsl_m(volume, track)
        samples = np.logical_or.reduce(
            [met_by(flight, each, mapped.outlines.polygon(column)) for each in places]
        )
        yield from _finding(case, loss, track, volume, samples & reached)


def _places(case: Case, flight: FlightAnswer, loss: LossWays) -> Sequence[NDArray[np.float64]]:
    assert flight.beneath is not None
    slowest_mps = flight.beneath.slowest_mps if drift_is_open(case.plan) else None
    widest = widest_impact(loss, flight.winds, slowest_mps)
    told = places_of_impact(loss, flight.winds, flight.beneath.terminal_mps)
    return [told] if widest is None else [told, widest]


def _beside(
    case: Case, mapped: Mapped, places: Sequence[NDArray[np.float64]]
) -> Iterator[tuple[int, AirspaceVolume]]:
    spots = np.concatenate([each.reshape(-1, 2) for each in places])
    spots = spots[np.isfinite(spots).all(axis=1)]
    if not len(spots):
        return
    told = {met.column for met in case.loss_met} | {column for use in case.uses for column in use.volumes}
    for column in map(
        int, mapped.outlines.columns_near(np.concatenate([spots.min(axis=0), spots.max(axis=0)]))
    ):
        volume = mapped.airspace.get(column)
        if volume is None or column in told or not is_active(volume, case.plan.window):
            continue
        asks = inquired_of(volume, case.plan.purpose)
        closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
        held = (answers_on if asks else grants_for)(volume, case.plan, mapped)
        if (asks or closes) and not held:
            yield column, volume


def _finding(
    case: Case, loss: LossWays, track: Track, volume: AirspaceVolume, samples: NDArray[np.bool_]
) -> Iterator[Finding]:
    if (worst := worst_of(track, samples)) is None:
        return
    name = volume.name or "an airspace without a name"
    found = worst.finding(
        rule="link-loss-drifts-into",
        mark=Mark.ACT,
        title=f"On lost link the wind may carry it into {name}",
        message=f"Lost from {along(worst.stretch.from_m)} to {along(worst.stretch.to_m)} the aircraft "
        f"{does(case.plan, loss.failsafe.action)}, and on its way down the wind may carry it into {name}.",
        remedy=f"fly farther away from {name}, in less wind or lower, or set an action that holds its place "
        "or brings it home",
    )
    yield attrs.evolve(found, basis=Basis.LAW, citation=leave_rule(case, volume))


RULES = (drifts_into,)
