"""Rules on the way between the launch or landing point and what is drawn: flown, but not drawn."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.rules.bibliography import airspace_rule, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.transit_airspace import crossed
from planner.rules.transit_height import met_at_its_height, over_in_column
from planner.rules.undrawn import UndrawnWay, ways_not_drawn
from planner.rules.words import along

FARTHEST_M = 1_000.0
"""Farther than this a straight hop is no fair guess any more of how the path is reached: a rule of thumb."""


def undrawn_way(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a long way to or from the path, or one through airspace or over unknown ground.

    An act where a straight one would meet the ground, or be too high in between.
    """
    if case.mapped is None:
        return
    for way in ways_not_drawn(case, case.mapped):
        through = crossed(case, case.mapped, way)
        if way.is_column:
            if through:
                yield _straight_up(case, way, Mark.UNKNOWN, f"it leads through {through}")
            elif too_high := over_in_column(case, case.mapped, way):
                yield _straight_up(case, way, Mark.ACT, too_high)
        elif through:
            yield _finding(case, way, Mark.UNKNOWN, f"leads through {through}")
        elif way.line.length > FARTHEST_M:
            yield _finding(case, way, Mark.UNKNOWN, "how it is flown is anybody's guess")
        elif np.isnan(way.ground_amsl_m).any():
            yield _finding(case, way, Mark.UNKNOWN, "leads over ground that is not known")
        elif met := met_at_its_height(case, case.mapped, way):
            yield _finding(case, way, Mark.ACT, met.why, met.at_m)


def _finding(case: Case, way: UndrawnWay, mark: Mark, why: str, at_m: float = 0.0) -> Finding:
    length_m = way.line.length
    message = f"It is {along(length_m)} long, and {why}. Only what is drawn is judged."
    found = _told(case, way, mark, message, way.cure, at_m)
    return attrs.evolve(found, numbers={"length_m": length_m})


def _straight_up(case: Case, way: UndrawnWay, mark: Mark, why: str) -> Finding:
    message = f"Straight up or down {why}. Only what is drawn is judged."
    remedy = "begin and end where it may fly at each height between, or record the permission for it"
    return _told(case, way, mark, message, remedy)


def _told(case: Case, way: UndrawnWay, mark: Mark, message: str, remedy: str, at_m: float = 0.0) -> Finding:
    assert case.mapped is not None
    there = way.line.interpolate(at_m)
    return Finding(
        rule="way-not-drawn",
        mark=mark,
        basis=Basis.LAW,
        title=f"The way {way.words} is not drawn",
        message=message,
        citation=f"{airspace_rule(case.plan.purpose)}; {height_rule(case.plan.purpose)}",
        remedy=remedy,
        place=case.mapped.frame.xy_to_place(there.x, there.y),
    )


RULES = (undrawn_way,)
