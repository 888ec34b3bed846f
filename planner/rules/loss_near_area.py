"""What comes down on lost link from an area close beside airspace, or may reach beyond what is asked for."""

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.permission.besides import BESIDE_M
from planner.permission.request import MARGIN_M
from planner.permission.routes import TOLERANCE_M
from planner.rules.area_down import comes_near, straight_m
from planner.rules.area_links import area_failsafe
from planner.rules.beside import Beside, close_beside, is_open, nearest_part
from planner.rules.beside_area import NearArea
from planner.rules.beside_record import Inside, close_to_end, leaves_open, nearest_inside
from planner.rules.bibliography import airspace_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.opened import Opened
from planner.rules.words import over_ft
from planner.track.samples import AreaSamples

_WHERE = "Where the aircraft comes down by itself on lost link it may be"


def comes_down_near(
    case: Case, opened: Opened, shut: BaseGeometry, near: NearArea, reach_m: float
) -> Finding | None:
    """Return what it means that it comes down so near what is shut, `reach_m` ahead of the area; None if not.

    As of a path: open beside what is closed within what a satellite fix may be off, else something to do.
    Where the area itself is as near, and that leaves it as open, it alone is told.
    """
    away_m = near.away_m - reach_m
    if not TOLERANCE_M < away_m <= BESIDE_M:
        return None
    begins = shapely.Point(near.x_m, near.y_m)
    way = shapely.shortest_line(begins, shut)
    there = shapely.line_interpolate_point(way, reach_m) if way.length > reach_m else begins
    if shapely.equals(shut, opened.mapped.outlines.polygon(opened.column)):
        return _beside(case, opened, there, away_m)
    return _inside(case, opened, there, away_m)


def _beside(case: Case, opened: Opened, there: shapely.Point, away_m: float) -> Finding | None:
    column, volume = opened.column, opened.mapped.airspace[opened.column]
    samples = case.area_samples
    assert samples is not None
    place, top_m = opened.mapped.frame.xy_to_place(there.x, there.y), float(np.max(samples.planned_amsl_m))
    found = Beside(_WHERE, away_m, place, top_m)
    open_question, itself = is_open(case, column, volume, found), nearest_part(case, column, volume)
    if itself and (is_open(case, column, volume, itself) or not open_question):
        return None
    return close_beside(case, volume, found, open_question=open_question)


def _inside(case: Case, opened: Opened, there: shapely.Point, away_m: float) -> Finding | None:
    mapped, volume = opened.mapped, opened.mapped.airspace[opened.column]
    outside = float(shapely.distance(there, mapped.outlines.polygon(opened.column))) > TOLERANCE_M
    found = Inside(_WHERE, away_m, mapped.frame.xy_to_place(there.x, there.y), outside=outside)
    itself = nearest_inside(case, mapped, opened)
    if itself and (leaves_open(volume, itself) or not leaves_open(volume, found)):
        return None
    return close_to_end(case, volume, found, [grant.record for grant in opened.grants])


def may_reach_beyond_what_is_asked(case: Case) -> Iterator[Finding]:
    """Yield an act for each airspace to ask for in which it may come down beyond what the request holds.

    Where no airspeed is given it is not known how far it flies on; once the outline asked for is on record
    the answer would be open.
    """
    samples, mapped, failsafe = case.area_samples, case.mapped, area_failsafe(case)
    if samples is None or mapped is None or failsafe is None or failsafe.action in RETURNS:
        return
    assert case.area_flight is not None
    flight = case.area_flight
    given_m, most_m = straight_m(flight.comes, failsafe), straight_m(flight.at_most, failsafe)
    if most_m <= given_m + MARGIN_M:
        return
    for name, columns in _asked(case):
        if any(_reaches(case, samples, column, (given_m + MARGIN_M, most_m)) for column in columns):
            yield _may_reach(case, name, most_m)


def _asked(case: Case) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Yield what has to be asked for yet, or about: its name and columns."""
    for use in case.uses:
        if not use.need.recorded:
            yield use.need.airspace, use.volumes
    for inquiry in inquiries(case):
        if not inquiry.answers:
            yield inquiry.name, inquiry.columns


def _reaches(case: Case, samples: AreaSamples, column: int, between_m: tuple[float, float]) -> bool:
    assert case.mapped is not None
    held_m, most_m = between_m
    ring = shapely.difference(
        shapely.buffer(samples.footprint, most_m), shapely.buffer(samples.footprint, held_m)
    )
    beyond = shapely.intersection(case.mapped.outlines.polygon(column), ring)
    return not beyond.is_empty and comes_near(
        case.mapped, samples, case.mapped.airspace[column], beyond, most_m
    )


def _may_reach(case: Case, name: str, most_m: float) -> Finding:
    return Finding(
        rule="reach-not-known",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"On lost link it may come down beyond what is asked for of {name}",
        message="No airspeed is given: at 87 kt, the speed limit, what is lost at the edge of the flying "
        f"area comes down up to {over_ft(most_m)} ahead, beyond the outline that the request for {name} has. "
        "Who is granted just that could not say whether it stays inside.",
        citation=airspace_rule(case.plan.purpose),
        remedy="give the aircraft's highest airspeed before asking, or ask for a wider outline",
        numbers={"reach_m": most_m},
    )


RULES = (may_reach_beyond_what_is_asked,)
