"""Rules on the ground that launch, landing and crew stand on."""

from collections.abc import Iterator

import shapely

from planner.permission.need import Subject
from planner.rules.bibliography import PARK_LANDS
from planner.rules.case import Case
from planner.rules.data_status import extent_of
from planner.rules.finding import Basis, Finding, Mark


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
    """Yield a stop where launch, landing or crew stand on closed land, a note where it is near."""
    spots = [
        (f"The {name} point lies in it.", spot.place)
        for name, spot in (("launch", case.plan.launch), ("landing", case.plan.landing))
        if spot is not None
    ]
    by_key = sorted(case.plan.crew, key=lambda member: member.key)
    spots += [(f"{member.called} stands in it.", one) for member in by_key if (one := member.place)]
    extent = extent_of(case.plan)
    for land in sorted(case.world.closed_lands, key=lambda land: land.key):
        standing = [
            (words, place)
            for words, place in spots
            if shapely.intersects_xy(land.outline, place.lon_deg, place.lat_deg)
        ]
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
        if not standing and extent is not None and shapely.intersects(land.outline, extent):
            yield Finding(
                rule="closed-land-near",
                mark=Mark.NOTE,
                basis=Basis.LAW,
                title=f"{land.name} is close or beneath",
                message="Closed to launching, landing and operating; an emergency landing may end there.",
                citation=PARK_LANDS,
            )


RULES = (land_settled, closed_land)
