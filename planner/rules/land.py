"""Rules on the ground that launch, landing and crew stand on."""

import math
from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.geo.place import Place
from planner.permission.need import Subject
from planner.rules.beside import FIX_M
from planner.rules.bibliography import PARK_LANDS
from planner.rules.case import Case
from planner.rules.data_status import extent_of
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.words import over_ft, room_ft
from planner.world.outlines import polygons_in_plane

_NEAR_DEG = 0.001


def land_settled(case: Case) -> Iterator[Finding]:
    """Yield an act for each spot whose ground is not settled."""
    for need in case.needs:
        if need.subject is Subject.LAND:
            yield Finding(
                rule="land-not-settled",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"Ground of the {need.airspace} not settled",
                message="Nobody who may has allowed the use of this ground yet, as far as the plan says.",
                citation="common practice: law of property, local rules",
                remedy="ask whoever owns or runs it, then record who allowed it",
                place=need.place,
            )


def closed_land(case: Case) -> Iterator[Finding]:
    """Yield a stop where launch, landing, return or crew are on closed land, acts and notes beside it."""
    spots = list(_spots(case))
    extent = extent_of(case.plan)
    for land in sorted(case.world.closed_lands, key=lambda land: land.key):
        away = [(_away_m(case, land.outline, place), who, does, place) for who, does, place in spots]
        standing = [(f"{who} {does} in it.", place) for away_m, who, does, place in away if away_m <= 0.0]
        beside = [one for one in away if 0.0 < one[0] < FIX_M]
        if beside and not standing:
            yield _close_beside(land.name, *min(beside, key=lambda one: one[0]))
        for words, place in standing:
            yield Finding(
                rule="closed-land",
                mark=Mark.STOP,
                basis=Basis.LAW,
                title=f"{land.name}: closed to launching, landing and operating",
                message=words,
                citation=PARK_LANDS,
                remedy="launch, land and stand outside it, or ask whoever runs it",
                place=place,
            )
        if not standing and not beside and extent is not None and shapely.intersects(land.outline, extent):
            yield Finding(
                rule="closed-land-near",
                mark=Mark.NOTE,
                basis=Basis.LAW,
                title=f"{land.name} is close or beneath",
                message="Closed to launching, landing and operating; an emergency landing may end there.",
                citation=PARK_LANDS,
            )


def _spots(case: Case) -> Iterator[tuple[str, str, Place]]:
    """Yield who or what is on the ground, what it does there, and where; the end of a return, too."""
    plan = case.plan
    for name, spot in (("launch", plan.launch), ("landing", plan.landing)):
        if spot is not None:
            yield f"The {name} point", "lies", spot.place
    link_loss = plan.aircraft.link_loss if plan.aircraft else None
    if plan.return_point is not None and link_loss is not None and link_loss.action in RETURNS:
        yield "The return point, where the aircraft lands by itself on lost link,", "lies", plan.return_point
    for member in sorted(plan.crew, key=lambda member: member.key):
        if member.place:
            yield member.called, "stands", member.place


def _away_m(case: Case, outline: BaseGeometry, place: Place) -> float:
    """Return how far a place lies from an outline [m]; inf where that is plainly no matter."""
    if shapely.intersects_xy(outline, place.lon_deg, place.lat_deg):
        return 0.0
    about = shapely.Point(place.lon_deg, place.lat_deg).buffer(_NEAR_DEG)
    if case.mapped is None or not shapely.intersects(outline, about):
        return math.inf
    flat = polygons_in_plane(shapely.intersection(outline, about), case.mapped.frame)
    return float(shapely.distance(flat, shapely.Point(case.mapped.frame.place_to_xy(place))))


def _close_beside(name: str, away_m: float, who: str, does: str, place: Place) -> Finding:
    return Finding(
        rule="closed-land-beside",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{who.split(',')[0]} {does} close beside {name}",
        message=f"{who} {does} {room_ft(away_m)} outside; map and satellite fix are no more exact.",
        citation=PARK_LANDS,
        remedy=f"see on the spot where it ends, or keep {over_ft(FIX_M)} away",
        place=place,
        numbers={"aside_m": away_m},
    )


RULES = (land_settled, closed_land)
