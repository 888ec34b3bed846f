"""A plan at the 180th meridian: too near to it nothing is judged."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.geo.place import Place
from planner.plan.model import Plan
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark

NEAR_DEG = 1.0
"""How near [deg of longitude at the equator]: 111 km, farther than anything is looked for (own choice)."""


def at_the_antimeridian(case: Case) -> Iterator[Finding]:
    """Yield an unknown where charts, cut at the 180th meridian or not, can't surely be laid out."""
    near = _first_near(list(_places(case.plan)))
    if near is not None:
        yield Finding(
            rule="at-the-antimeridian",
            mark=Mark.UNKNOWN,
            basis=Basis.SAFETY,
            title="Too near to the 180th meridian",
            message=(
                "Outlines that cross this meridian are published in more than one way, and what is looked "
                "for about a flight may be missed across it. So near to it nothing is called ready."
            ),
            citation=height_rule(case.plan.purpose),
            remedy="plan this flight by the authority's own charts",
            place=near,
        )


def _places(plan: Plan) -> Iterator[Place]:
    yield from (point.place for point in plan.path)
    yield from (plan.area.ring if plan.area is not None else ())
    yield from (spot.place for spot in (plan.launch, plan.landing) if spot is not None)


def _first_near(places: Sequence[Place]) -> Place | None:
    lon_deg = np.array([place.lon_deg for place in places])
    lat_deg = np.array([place.lat_deg for place in places])
    near = np.flatnonzero((180.0 - np.abs(lon_deg)) * np.cos(np.radians(lat_deg)) < NEAR_DEG)
    return places[int(near[0])] if len(near) else None


RULES = (at_the_antimeridian,)
