"""Rule on what comes down by itself on lost link where nobody says which airspace is, or close beside."""

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS, Failsafe
from planner.permission.besides import BESIDE_M
from planner.rules.area_down import straight_m
from planner.rules.area_links import area_failsafe
from planner.rules.beside import FIX_M
from planner.rules.beside_unknown import drawn_parts, hole_beside, hole_finding, open_anyway
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.flown_besides import home_on_lost_link
from planner.track.mapped import NOWHERE

_WHERE = "where it comes down by itself on lost link"


def not_known_where_it_comes_down(case: Case) -> Iterator[Finding]:
    """Yield what it means that data on airspace end within 20 m of where an action that stays ends.

    As of the flight itself, and where that leaves the answer less open. Of a return the ceiling is asked.
    """
    mapped = case.mapped
    if mapped is None or mapped.airspace_known_in in (None, NOWHERE) or open_anyway(case):
        return
    failsafe = _failsafe(case)
    if failsafe is None or failsafe.action in RETURNS:
        return
    shape, known = _comes_down(case, failsafe), mapped.outlines.polygon(int(mapped.airspace_known_in or 0))
    if shape.is_empty:
        return
    hole = hole_beside(known, _WHERE, shape)
    if hole.away_m >= BESIDE_M:
        return
    itself_m = min(
        (hole_beside(known, words, part).away_m for words, part in drawn_parts(case, mapped)),
        default=BESIDE_M,
    )
    if itself_m >= BESIDE_M or (hole.away_m < FIX_M <= itself_m):
        yield hole_finding(case, mapped, known, hole)


def _failsafe(case: Case) -> Failsafe | None:
    loss = case.flight.loss if case.flight is not None else None
    return area_failsafe(case) if loss is None else loss.failsafe


def _comes_down(case: Case, failsafe: Failsafe) -> BaseGeometry:
    """Return over what of the plane it may come down, from an area as fast as it may fly at the most."""
    shapes = [home_on_lost_link(case)]
    if case.area_flight is not None and case.area_samples is not None and case.area is not None:
        reach_m = straight_m(case.area_flight.at_most, failsafe)
        shapes.append(shapely.buffer(case.area_samples.footprint, reach_m))
    return shapely.union_all(shapes)


RULES = (not_known_where_it_comes_down,)
