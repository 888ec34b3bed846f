"""Rules on trees and buildings passed closer beside than any aircraft keeps its place."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.flight.below import Thing
from planner.flight.fall_zone import grown_by_m
from planner.geo.place import Place
from planner.rules.area_flight import of_kinds, place_of
from planner.rules.beside import nearest_on_pieces
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.standing import COVER, may_reach_m, stands
from planner.rules.words import along, over_ft, room_ft

Floats = NDArray[np.float64]

_Met = TypeVar("_Met")


def close_beside_path(case: Case) -> Iterator[Finding]:
    """Yield an act of what the path passes closest beside, below its top, and of what of unknown height."""
    under, track = (case.flight.beneath if case.flight else None), case.track
    if under is None or track is None or case.mapped is None:
        return
    found = []
    for thing in under.things:
        top_m = may_reach_m(case, thing)
        if top_m is None:
            continue
        near = nearest_on_pieces(
            case, track, _lower(track.planned_agl_m, top_m), thing.shape, grown_by_m(case.plan.aircraft)
        )
        # What the path leads into is told as such.
        if near is not None and near.away_m > 0.0:
            found.append((near.away_m, thing, near))
    for away_m, thing, near in _nearest(found):
        passes = f"At {along(near.along_m)} the path passes"
        yield _finding(case, thing, away_m, passes, near.place, near.along_m)


def _lower(agl_m: Floats, top_m: float) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Return the parts of a path below a height [m]: pieces, and from which share of each to which.

    A climb past that height between two samples counts as far as it is below.
    """
    first_m, last_m = agl_m[:-1], agl_m[1:]
    with np.errstate(invalid="ignore", divide="ignore"):
        lower = agl_m < top_m
        pieces = np.flatnonzero(lower[:-1] | lower[1:])
        # Where one end is not known, all of it counts.
        meets = (top_m - first_m) / (last_m - first_m)
    begin = np.where(lower[:-1] | ~np.isfinite(meets), 0.0, meets)
    end = np.where(lower[1:] | ~np.isfinite(meets), 1.0, meets)
    return pieces, begin[pieces], end[pieces]


def close_beside_area(case: Case) -> Iterator[Finding]:
    """Yield an act of what a flying area ends closest beside, and of what of unknown height."""
    near_m = grown_by_m(case.plan.aircraft)
    about = [
        (one.apart_m, one.thing, one)
        for one in of_kinds(case, COVER)
        if stands(case, one.thing) and 0.0 < one.apart_m <= near_m
    ]
    for away_m, thing, one in _nearest(about):
        yield _finding(case, thing, away_m, "The flying area ends", place_of(case, one), None)


def _nearest(found: Sequence[tuple[float, Thing, _Met]]) -> Iterator[tuple[float, Thing, _Met]]:
    """Yield the nearest of those whose height is said, and of those of which it is not."""
    for said in (True, False):
        some = [one for one in found if (one[1].height_m is not None) is said]
        if some:
            yield min(some, key=lambda one: one[0])


def _finding(
    case: Case, thing: Thing, away_m: float, passes: str, place: Place | None, along_m: float | None
) -> Finding:
    exact = over_ft(grown_by_m(case.plan.aircraft))
    said = thing.height_m is not None
    return Finding(
        rule="close-beside-cover",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Close beside {thing.called}",
        message=f"{passes} {room_ft(away_m)} beside it, "
        + ("below its top" if said else "and nobody has said how high it is")
        + f". No aircraft is where it is planned more exactly than {exact}: flown a little aside it "
        + ("hits it." if said else "may hit it."),
        citation=COMMON_PRACTICE,
        remedy=("" if said else "say how high it is, or ")
        + f"keep {exact} away or fly above it, unless you fly along it by sight and have tried that",
        from_m=along_m,
        to_m=along_m,
        place=place,
        numbers={"aside_m": away_m},
    )


RULES = (close_beside_path, close_beside_area)
