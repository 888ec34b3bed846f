"""Rule on charted stadiums within 3 NM of the plan, where no list of events speaks of place and time.

A chart of stadiums restricts nothing by itself: games do. Without a list of them only the notices and the
stadium's own calendar tell.
"""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely

from planner.geo.geodesy import distance_m
from planner.rules.bibliography import CLOSED_AIRSPACE
from planner.rules.case import Case
from planner.rules.data_status import extent_of
from planner.rules.finding import Basis, Finding, Mark
from planner.units import NAUTICAL_MILE_M, STADIUM_LEAST_SEATS, STADIUM_RADIUS_M
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from planner.world.sites import Stadium

_CHOSEN_M = 1.01 * STADIUM_RADIUS_M
"""The plane is a little wrong far out: the geodesic decides."""


@attrs.frozen
class NearStadium:
    """A stadium and how far it is from what is drawn [m]."""

    stadium: Stadium
    distance_m: float


def unlisted_stadiums(case: Case) -> tuple[NearStadium, ...]:
    """Return the stadiums within 3 NM whose games no current list of events tells, the nearest first."""
    drawn = extent_of(case.plan)
    if drawn is None or case.mapped is None or not case.world.stadiums or _events_listed(case):
        return ()
    frame = case.mapped.frame
    hull = shapely.transform(drawn, lambda at: np.column_stack(frame.forward(at[:, 0], at[:, 1])))
    found = []
    for stadium in case.world.stadiums:
        spot = shapely.Point(frame.place_to_xy(stadium.place))
        if hull.distance(spot) <= _CHOSEN_M + stadium.reach_m:
            near = shapely.get_point(shapely.shortest_line(hull, spot), 0)
            away_m = distance_m(frame.xy_to_place(near.x, near.y), stadium.place)
            away_m = max(away_m - stadium.reach_m, 0.0)
            if away_m <= STADIUM_RADIUS_M:
                found.append(NearStadium(stadium, away_m))
    return tuple(sorted(found, key=lambda one: (one.distance_m, one.stadium.name)))


def stadiums_near(case: Case) -> Iterator[Finding]:
    """Yield something to do for each of them: look its games up."""
    for near in unlisted_stadiums(case):
        seats = near.stadium.seats
        counted = (
            f"It has {seats:,.0f} seats."
            if seats is not None
            else "How many seats it has is not on record, so it counts as large enough."
        )
        yield Finding(
            rule="stadium-near",
            mark=Mark.ACT,
            basis=Basis.LAW,
            title=f"Stadium near: {near.stadium.name or 'without a name'}",
            message=f"It is {near.distance_m / NAUTICAL_MILE_M:.2f} NM from what is drawn. Certain games "
            "close 3 NM round a stadium up to 3,000 ft above ground, from an hour before to an hour after, "
            f"and no list of events covers this place and time. {counted}",
            citation=CLOSED_AIRSPACE,
            remedy=f"look up games of {STADIUM_LEAST_SEATS:,} seats and more that day",
            place=near.stadium.place,
            numbers={"distance_m": near.distance_m},
        )


def _events_listed(case: Case) -> bool:
    return any(
        status.layer is LayerName.STADIUM_EVENTS and status.state is LayerState.OK for status in case.data
    )


RULES = (stadiums_near,)
