"""Rules on the way between the launch or landing point and what is drawn: flown, but not drawn."""

from collections.abc import Iterator

import numpy as np

from planner.permission.routes import TOLERANCE_M
from planner.rules.bibliography import airspace_rule, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.transit_airspace import crossed
from planner.rules.undrawn import UndrawnWay, ways_not_drawn
from planner.rules.words import along
from planner.units import GROUND_LIMIT_M

FARTHEST_M = 1_000.0
"""Farther than this a straight hop is no fair guess any more of how the path is reached: a rule of thumb."""


def undrawn_way(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a long way to or from the path, or one through airspace or over unknown ground.

    An act where a straight one would meet the ground, or be too high in between. Straight up or down there is
    airspace only.
    """
    if case.mapped is None:
        return
    for way in ways_not_drawn(case, case.mapped):
        through = crossed(case, case.mapped, way)
        if way.is_column:
            if through:
                yield _straight_up(case, way, through)
        elif through:
            yield _finding(case, way, Mark.UNKNOWN, f"leads through {through}")
        elif way.line.length > FARTHEST_M:
            yield _finding(case, way, Mark.UNKNOWN, "how it is flown is anybody's guess")
        elif np.isnan(way.ground_amsl_m).any():
            yield _finding(case, way, Mark.UNKNOWN, "leads over ground that is not known")
        elif trouble := _heights(way):
            yield _finding(case, way, Mark.ACT, trouble)


def _finding(case: Case, way: UndrawnWay, mark: Mark, why: str) -> Finding:
    assert case.mapped is not None
    return Finding(
        rule="way-not-drawn",
        mark=mark,
        basis=Basis.LAW,
        title=f"The way {way.words} is not drawn",
        message=f"It is {along(way.line.length)} long, and {why}. Only what is drawn is judged.",
        citation=f"{airspace_rule(case.plan.purpose)}; {height_rule(case.plan.purpose)}",
        remedy="draw the path from the launch point and to the landing point",
        place=case.mapped.frame.xy_to_place(*way.line.coords[0]),
        numbers={"length_m": way.line.length},
    )


def _straight_up(case: Case, way: UndrawnWay, through: str) -> Finding:
    assert case.mapped is not None
    return Finding(
        rule="way-not-drawn",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=f"The way {way.words} is not drawn",
        message=f"Straight up or down it leads through {through}. Only what is drawn is judged.",
        citation=airspace_rule(case.plan.purpose),
        remedy="begin and end where nothing closed lies between, or record the permission for it",
        place=case.mapped.frame.xy_to_place(*way.line.coords[0]),
    )


def _heights(way: UndrawnWay) -> str:
    """Return what a straight way meets between its ends, '' if nothing."""
    with np.errstate(invalid="ignore"):
        agl_m = way.planned_amsl_m - way.ground_amsl_m
        if (agl_m < -TOLERANCE_M).any():
            return "flown straight it would meet the ground"
        # A path that is itself as high is judged by the rules on height.
        high = agl_m > GROUND_LIMIT_M + TOLERANCE_M
        if high.any() and not high[-1]:
            return "flown straight it would be higher than 400 ft above the ground"
    return ""


RULES = (undrawn_way,)
