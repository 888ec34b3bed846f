"""Rules on trees and buildings passed closer beside than any aircraft keeps its place."""

import math
from collections.abc import Iterator

import numpy as np

from planner.flight.below import Thing
from planner.flight.fall_zone import grown_by_m
from planner.geo.place import Place
from planner.rules.area_flight import of_kinds, place_of
from planner.rules.beside import nearest_on_path
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.standing import CHARTED_AT_MOST_M, COVER, stands
from planner.rules.words import along, over_ft, room_ft


def close_beside_path(case: Case) -> Iterator[Finding]:
    """Yield an act of the trees or building that the path passes closest beside, below its top."""
    under, track = (case.flight.beneath if case.flight else None), case.track
    if under is None or track is None or case.mapped is None:
        return
    found = []
    for thing in under.things:
        height_m = _height_m(case, thing)
        if height_m is None:
            continue
        with np.errstate(invalid="ignore"):
            lower = np.asarray(track.planned_agl_m < height_m)
        near = nearest_on_path(case, track, lower, thing.shape, grown_by_m(case.plan.aircraft))
        # What the path leads into is told as such.
        if near is not None and near.away_m > 0.0:
            found.append((near, thing))
    if found:
        near, thing = min(found, key=lambda one: one[0].away_m)
        passes = f"At {along(near.along_m)} the path passes"
        yield _finding(case, thing, near.away_m, passes, near.place, near.along_m)


def close_beside_area(case: Case) -> Iterator[Finding]:
    """Yield an act of the trees or building that a flying area ends closest beside."""
    near_m = grown_by_m(case.plan.aircraft)
    about = [
        one
        for one in of_kinds(case, COVER)
        if _height_m(case, one.thing) is not None and 0.0 < one.apart_m <= near_m
    ]
    if about:
        one = min(about, key=lambda other: other.apart_m)
        yield _finding(case, one.thing, one.apart_m, "The flying area ends", place_of(case, one), None)


def _height_m(case: Case, thing: Thing) -> float | None:
    """Return how high trees or a building are [m], at the most where nobody said; None of anything else."""
    if not stands(case, thing):
        return None
    if thing.height_m is not None:
        return thing.height_m
    return math.inf if thing.item is not None else CHARTED_AT_MOST_M


def _below(thing: Thing) -> str:
    return "below its top" if thing.height_m is not None else "and nobody has said how high it is"


def _finding(
    case: Case, thing: Thing, away_m: float, passes: str, place: Place | None, along_m: float | None
) -> Finding:
    exact = over_ft(grown_by_m(case.plan.aircraft))
    return Finding(
        rule="close-beside-cover",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Close beside {thing.called}",
        message=f"{passes} {room_ft(away_m)} beside it, {_below(thing)}. No aircraft is where it is planned "
        f"more exactly than {exact}: flown a little aside it hits it.",
        citation=COMMON_PRACTICE,
        remedy=f"keep {exact} away or fly above it, unless you fly along it by sight and have tried that",
        from_m=along_m,
        to_m=along_m,
        place=place,
        numbers={"aside_m": away_m},
    )


RULES = (close_beside_path, close_beside_area)
