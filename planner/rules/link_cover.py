"""Rule on radio links that go through what is drawn and has no height: nobody can say what that takes."""

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import pilot_place
from planner.flight.cover import untold_cover
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, worst_of
from planner.rules.stretches import place_at
from planner.rules.words import along
from planner.track.track import Track


def through_cover(case: Case) -> Iterator[Finding]:
    """Yield an act where a link goes over or through drawn trees or buildings of which no height is said."""
    flight = case.flight or case.area_flight
    if flight is None or not flight.links or case.mapped is None or (spot := pilot_place(case.plan)) is None:
        return
    track = case.track
    if case.flight is None and case.area_flight is not None:
        track = case.area_flight.link_places
    if track is None:
        return
    antenna = case.mapped.frame.place_to_xy(spot)
    for name, shape in untold_cover(case.plan, case.mapped.frame):
        behind = _behind(track, antenna, shape)
        if not behind.any():
            continue
        if case.flight is None:
            yield _finding(name, "places of the flying area", place=place_at(track, int(np.argmax(behind))))
        elif (worst := worst_of(track, behind)) is not None:
            where = f"{along(worst.stretch.from_m)} to {along(worst.stretch.to_m)}"
            yield _finding(
                name, where, from_m=worst.stretch.from_m, to_m=worst.stretch.to_m, place=worst.place
            )


def _behind(track: Track, antenna: tuple[float, float], shape: BaseGeometry) -> np.ndarray:
    ends = np.column_stack([track.x_m, track.y_m])
    lines = shapely.linestrings(np.stack([np.broadcast_to(antenna, ends.shape), ends], axis=1))
    return np.asarray(shapely.intersects(np.asarray(lines, dtype=object), shape), dtype=np.bool_)


def _finding(name: str, where: str, **at: object) -> Finding:
    return Finding(
        rule="link-through-cover",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"The links lead over {name} of unknown height",
        message=f"To {where} the straight line from the antenna leads over {name}, and nobody has said how "
        "high it is: the margins are those over bare earth.",
        citation=COMMON_PRACTICE,
        remedy="say how high, then it is held against the links",
        **at,  # type: ignore[arg-type]
    )


RULES = (through_cover,)
