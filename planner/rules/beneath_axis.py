"""What is beneath, on the path's own axis: one line for strip, JSON and paper."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.below import GRAVEST_FIRST, OF_PEOPLE, Below
from planner.flight.beneath import NOTHING, UNKNOWN
from planner.flight.crossings import Crossing
from planner.rules.beneath_judged import cover_met, judged
from planner.rules.case import Case
from planner.rules.finding import Mark
from planner.world.currency import LayerState
from planner.world.layers import LayerName

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_LAYERS: Final = frozenset({LayerName.ROADS, LayerName.BUILDINGS, LayerName.GATHERING_PLACES})
_HEAVIEST_FIRST: Final = tuple(Mark)


@attrs.frozen(eq=False)
class BeneathAxis:
    """Arrays (n,) on the track's samples.

    Parameters
    ----------
    over, falls_on : the gravest kind straight below and within the fall from
        there: an index into `planner.flight.below.GRAVEST_FIRST`, else
        `NOTHING` (-1: on no record, not the same as nobody there) or `UNKNOWN`
        (-2: the height is not known).
    mark : heaviest mark of what is said there: an index into `Mark`'s members,
        heaviest first; their number where nothing is said.
    into : the kind of what is drawn that the path leads into there, indices as in `over`.
    height_m, reach_m, drift_m, separation_m : height above ground, ballistic
        reach, drift with the wind, distance to keep from people [m].
    checked : whether anything is drawn, or charts of the ground cover the
        place; else all of it counts as not checked.
    """

    over: Ints
    falls_on: Ints
    mark: Ints
    into: Ints
    height_m: Floats
    reach_m: Floats
    drift_m: Floats
    separation_m: Floats
    checked: bool

    def over_at(self, sample: int) -> Below | None:
        """Return the gravest kind straight below a sample, None where none is on record."""
        return _kind(int(self.over[sample]))

    def falls_on_at(self, sample: int) -> Below | None:
        """Return the gravest kind that is fallen on from a sample, None where none is on record."""
        return _kind(int(self.falls_on[sample]))

    def into_at(self, sample: int) -> Below | None:
        """Return what the path leads into at a sample."""
        return _kind(int(self.into[sample]))

    def mark_at(self, sample: int) -> Mark | None:
        """Return the heaviest mark at a sample."""
        rank = int(self.mark[sample])
        return _HEAVIEST_FIRST[rank] if rank < len(_HEAVIEST_FIRST) else None


def beneath_axis(case: Case | None) -> BeneathAxis | None:
    """Return what is beneath the path; None without a path, or before it is worked out."""
    under = case.flight.beneath if case is not None and case.flight is not None else None
    if case is None or under is None or case.track is None:
        return None
    mark = np.full(len(case.track), len(_HEAVIEST_FIRST))
    for one in judged(case):
        rank = _HEAVIEST_FIRST.index(one.ruling.mark)
        if one.sample is not None:
            mark[one.sample] = min(int(mark[one.sample]), rank)
        for cross in one.crossings:
            _lay(mark, cross, rank, case.track.distance_m)
        if one.thing.below in OF_PEOPLE:
            # Before the path is over them a failed aircraft falls on them, too.
            falls = under.falls_on == GRAVEST_FIRST.index(one.thing.below)
            mark[falls] = np.minimum(mark[falls], rank)
    into = np.full(len(case.track), NOTHING)
    for met in cover_met(case):
        _lay(mark, met.crossing, _HEAVIEST_FIRST.index(met.mark), case.track.distance_m)
        if met.into:
            into[_samples(met.crossing, case.track.distance_m)] = GRAVEST_FIRST.index(met.thing.below)
    return BeneathAxis(
        over=under.over,
        falls_on=under.falls_on,
        mark=mark,
        into=into,
        height_m=under.zone.height_m,
        reach_m=under.zone.reach_m,
        drift_m=under.zone.drift_m if drift_is_known(case) else np.full(len(case.track), np.nan),
        separation_m=under.zone.separation_m,
        checked=beneath_checked(case),
    )


def drift_is_known(case: Case) -> bool:
    """Whether wind and drag are given, so that it is known how far a failed aircraft drifts."""
    flight = case.flight
    return (
        flight is not None
        and flight.beneath is not None
        and flight.weather.wind is not None
        and flight.beneath.terminal_mps is not None
    )


def beneath_checked(case: Case) -> bool:
    """Whether anything is known of what is beneath: drawn, or covered by charts of the ground."""
    return people_given(case) or any(
        status.layer in _LAYERS and status.state is LayerState.OK for status in case.data
    )


def people_given(case: Case) -> bool:
    """Whether the pilot has said anything of who is beneath, and it was put to the path or area."""
    return bool(case.plan.beneath) and (
        case.area is not None or (case.flight is not None and case.flight.beneath is not None)
    )


def _kind(index: int) -> Below | None:
    return GRAVEST_FIRST[index] if index >= 0 else None


def _lay(mark: Ints, cross: Crossing, rank: int, distance_m: Floats) -> None:
    here = _samples(cross, distance_m)
    mark[here] = np.minimum(mark[here], rank)


def _samples(cross: Crossing, distance_m: Floats) -> slice:
    first = int(np.searchsorted(distance_m, cross.from_m, "right")) - 1
    last = int(np.searchsorted(distance_m, cross.to_m, "left"))
    return slice(max(first, 0), last + 1)


__all__ = ["GRAVEST_FIRST", "NOTHING", "OF_PEOPLE", "UNKNOWN", "BeneathAxis", "beneath_axis"]
