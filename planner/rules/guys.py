"""Rule on guy wires: a guyed mast is as wide as its wires reach, and no record says where they are."""

from collections.abc import Iterator

import numpy as np

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.obstacles import CITATION
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.guy_wires import WireCone, wire_cones
from planner.track.track import Track


def guy_wires(case: Case) -> Iterator[Finding]:
    """Yield an act for each stretch under the cone in which the wires of a guyed mast lie."""
    track, mapped = case.track, case.mapped
    if track is None or mapped is None:
        return
    for cone in wire_cones(case.plan, mapped, track, 0.0):
        for part in stretches(track, cone.holds(track)):
            yield _finding(track, cone, part, assumed=case.plan.guy_wire_share is None)


def _finding(track: Track, cone: WireCone, part: Stretch, *, assumed: bool) -> Finding:
    # A stretch has a piece at least: each piece under the cone holds at both of its ends.
    pieces_m = cone.closest_m(track)[part.first : part.last]
    piece = part.first + int(np.argmin(pieces_m))
    aside_m = float(pieces_m.min())
    begin_m, end_m = track.distance_m[piece : piece + 2]
    share = cone.closest_share(track)[piece]
    why = " (a rule of thumb: 0.8 of its height)" if assumed else " (as you say)"
    return Finding(
        rule="guy-wires",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Among the guy wires of {cone.mast.label}",
        message=(
            f"At {along(float(begin_m + (end_m - begin_m) * share))} the path passes {room_ft(aside_m)} "
            f"beside the mast, under the line from its top to where its wires may end, "
            f"{over_ft(cone.reach_m)} out{why}. No record says where they run."
        ),
        citation=CITATION,
        remedy="keep out of that cone, or look where the wires run and enter how far they reach",
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, piece + round(float(share))),
        numbers={"aside_m": aside_m, "reach_m": cone.reach_m},
    )


RULES = (guy_wires,)
