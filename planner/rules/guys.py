"""Rule on guy wires: a guyed mast is as wide as its wires reach, and no record says where they are."""

from collections.abc import Iterator

import numpy as np
import shapely

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.obstacles import CITATION
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.guy_wires import WireCone, cones_in_box, wire_cones
from planner.track.track import Track
from planner.world.structures import UNSTATED_ERROR_M, Structure

_REMEDY = "keep out of that cone, or look where the wires run and enter how far they reach (0: it has none)"
_DENIED = "keep out of that cone, or look again where the wires run and enter how far they reach"
_NAMED = 3


def guy_wires(case: Case) -> Iterator[Finding]:
    """Yield an act for each stretch under the cone in which the wires of a guyed mast lie."""
    track, mapped = case.track, case.mapped
    if track is None or mapped is None:
        return
    for cone in wire_cones(case.plan, mapped, track, 0.0):
        for part in stretches(track, cone.holds(track)):
            yield _finding(track, cone, part)


def _finding(track: Track, cone: WireCone, part: Stretch) -> Finding:
    # A stretch has a piece at least: each piece under the cone holds at both of its ends.
    pieces_m = cone.closest_m(track)[part.first : part.last]
    piece = part.first + int(np.argmin(pieces_m))
    aside_m = float(pieces_m.min())
    begin_m, end_m = track.distance_m[piece : piece + 2]
    share = cone.closest_share(track)[piece]
    return Finding(
        rule="guy-wires",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=_title(cone.mast),
        message=(
            f"At {along(float(begin_m + (end_m - begin_m) * share))} the path passes {room_ft(aside_m)} "
            f"beside the mast, under the line from its top to where its wires may end, "
            f"{over_ft(cone.reach_m)} out{_why(cone)}. {_on_record(cone)}"
        ),
        citation=CITATION,
        remedy=_remedy(cone),
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, piece + round(float(share))),
        numbers={"aside_m": aside_m, "reach_m": cone.reach_m},
    )


def guy_wires_in_area(case: Case) -> Iterator[Finding]:
    """Yield one act for the guy wires that may reach into a flying area."""
    samples = case.area_samples
    if samples is None or case.mapped is None or case.area is None:
        return
    cones = [
        cone
        for cone in cones_in_box(case.plan, case.mapped, samples.footprint.bounds)
        if samples.footprint.distance(shapely.Point(cone.x_m, cone.y_m)) < cone.reach_m
    ]
    if not cones:
        return
    farthest = max(cones, key=lambda cone: cone.reach_m)
    doubted = farthest.denied or farthest.older
    named = sorted({cone.mast.label for cone in cones})
    more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
    yield Finding(
        rule="guy-wires",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Guy wires may reach into the flying area",
        message=(
            f"Wires are taken to reach out to {over_ft(farthest.reach_m)}{_why(farthest)} "
            f"from {', '.join(named[:_NAMED])}{more}. "
            f"{_on_record(farthest) if doubted else 'No record says where they run.'}"
        ),
        citation=CITATION,
        remedy=_remedy(farthest),
        place=farthest.mast.place,
        numbers={"reach_m": farthest.reach_m},
    )


def _title(mast: Structure) -> str:
    return f"Among the guy wires of {mast.label}" if mast.guyed else f"Guy wires may stand about {mast.label}"


def _why(cone: WireCone) -> str:
    whose = "as you say" if cone.said else "a rule of thumb: 0.8 of its height"
    if cone.mast.horizontal_error_m is None:
        whose += f"; {over_ft(UNSTATED_ERROR_M)} of it as its record does not state how far off it may be"
    return f" ({whose})"


def _remedy(cone: WireCone) -> str:
    return _DENIED if cone.denied or cone.older else _REMEDY


def _on_record(cone: WireCone) -> str:
    if cone.older:
        return "What you said of its wires was of a record that said otherwise: it has changed since."
    if cone.denied:
        return "You say that it has none, and its record says that it is guyed: one of them is wrong."
    if cone.mast.guyed:
        return "No record says where they run."
    return "The record does not say whether it is guyed; slim masts often are."


RULES = (guy_wires, guy_wires_in_area)
