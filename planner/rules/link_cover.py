"""Rule on radio links that go through what is drawn and has no height: up to which height of it they hold."""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import Link, links_of, pilot_place
from planner.flight.area_places import repeated
from planner.flight.below import drawn_in_plane
from planner.plan.beneath import BeneathItem, BeneathKind
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, feet, worst_of
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft, room_ft
from planner.sight.screens import PLAUSIBLE_M
from planner.sight.surfaces import ScreenKind
from planner.track.track import Track

_AS_HIGH_AS_M: Final = {
    BeneathKind.TREES: PLAUSIBLE_M[ScreenKind.TREES],
    BeneathKind.BUILDING: PLAUSIBLE_M[ScreenKind.BUILDING],
}
"""As high what is drawn without a height may be: as for sight, own choices."""
_HALVINGS: Final = 6


def through_cover(case: Case) -> Iterator[Finding]:
    """Yield where a link leads over drawn trees or buildings of which no height is said.

    An unknown where it breaks over one as high as such things may be, else an act.
    """
    flight = case.flight or case.area_flight
    if flight is None or not flight.links or case.mapped is None or (spot := pilot_place(case.plan)) is None:
        return
    track = case.track
    if case.flight is None and case.area_flight is not None:
        track = case.area_flight.link_places
    if track is None:
        return
    antenna = case.mapped.frame.place_to_xy(spot)
    for item in case.plan.beneath:
        if item.kind not in _AS_HIGH_AS_M or item.height_m is not None:
            continue
        behind = _behind(track, antenna, drawn_in_plane(item, case.mapped.frame).shape)
        if not behind.any():
            continue
        holds_m = _holds_up_to_m(case, item, (track, np.flatnonzero(behind)), flight.links)
        if case.flight is None:
            place = place_at(track, int(np.argmax(behind)))
            yield attrs.evolve(_finding(item, "places of the flying area", holds_m), place=place)
        elif (worst := worst_of(track, behind)) is not None:
            where = f"{along(worst.stretch.from_m)} to {along(worst.stretch.to_m)}"
            yield attrs.evolve(
                _finding(item, where, holds_m),
                from_m=worst.stretch.from_m,
                to_m=worst.stretch.to_m,
                place=worst.place,
            )


def _behind(track: Track, antenna: tuple[float, float], shape: BaseGeometry) -> NDArray[np.bool_]:
    ends = np.column_stack([track.x_m, track.y_m])
    lines = shapely.linestrings(np.stack([np.broadcast_to(antenna, ends.shape), ends], axis=1))
    return np.asarray(shapely.intersects(np.asarray(lines, dtype=object), shape), dtype=np.bool_)


def _holds_up_to_m(
    case: Case, item: BeneathItem, behind: tuple[Track, NDArray[np.int64]], links: Sequence[Link]
) -> float | None:
    """Return up to which height of it each link keeps its margin where it does without it; None: at any.

    Found by halving, rounded down; what is too weak anyway is told elsewhere.
    """
    track, rows = behind
    assert case.mapped is not None
    assert case.mapped.ground is not None
    sound = {id(one.radio): ~(one.profile.thin | one.profile.unknown)[rows] for one in links}
    places = repeated(track, rows, track.x_m[rows], track.y_m[rows], case.mapped.ground)
    k = case.plan.beneath.index(item)

    def holds(height_m: float) -> bool:
        assert case.mapped is not None
        drawn = attrs.evolve(item, height_m=height_m)
        plan = attrs.evolve(case.plan, beneath=(*case.plan.beneath[:k], drawn, *case.plan.beneath[k + 1 :]))
        return not any(
            (one.profile.thin & sound[id(one.radio)]).any() for one in links_of(plan, case.mapped, places)
        )

    low_m, high_m = 0.0, _AS_HIGH_AS_M[item.kind]
    if holds(high_m):
        return None
    for _ in range(_HALVINGS):
        middle_m = (low_m + high_m) / 2
        low_m, high_m = (middle_m, high_m) if holds(middle_m) else (low_m, middle_m)
    return low_m


def _finding(item: BeneathItem, where: str, holds_m: float | None) -> Finding:
    most_m = _AS_HIGH_AS_M[item.kind]
    bound = (
        f"Even {feet(most_m)} high it leaves the margins that are wanted."
        if holds_m is None
        else f"Up to {room_ft(holds_m)} of it the margins that are wanted are kept; such things may be "
        f"{over_ft(most_m)} high."
    )
    return Finding(
        rule="link-through-cover",
        mark=Mark.ACT if holds_m is None else Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title=f"The links lead over {item.called} of unknown height",
        message=f"To {where} the straight line from the antenna leads over {item.called}, and nobody has "
        f"said how high it is: the margins are those over bare earth. {bound}",
        citation=COMMON_PRACTICE,
        remedy="say how high, then it is held against the links",
        numbers={} if holds_m is None else {"holds_up_to_m": holds_m},
    )


RULES = (through_cover,)
