"""How each layer stands against the plan's place and window."""

from itertools import pairwise

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.window import TimeWindow
from planner.plan.model import Plan
from planner.rules.unknowns import TABLE, Unknown, Weight
from planner.world.currency import LayerState, records_of, state_of
from planner.world.layers import LayerName, LayerRecord
from planner.world.world import World

UNITED_STATES = frozenset({"US", "USA", "PR", "GU", "VI", "AS", "MP", "UM"})
"""Codes (ISO 3166) of where the rules hold by which each purpose is judged: 14 CFR and 49 USC."""


@attrs.frozen(eq=False)
class DataStatus:
    """How one layer stands, and the record that says so."""

    layer: LayerName
    state: LayerState
    record: LayerRecord | None
    weight: Weight


def data_status(plan: Plan, world: World) -> tuple[DataStatus, ...]:
    """Return the standing of every layer in the table of unknowns, in its order."""
    needed = extent_of(plan)
    found = []
    for row in TABLE:
        if row.layer is None:
            continue
        dated = row.layer is not LayerName.TERRAIN
        records = records_of(world.layers, row.layer)
        state, record = state_of(records, needed, plan.window, needs_dates=dated, codes=UNITED_STATES)
        found.append(DataStatus(row.layer, state, record, weight_in(row, state)))
    return tuple(found)


def windows_in_force(plan: Plan, world: World, layer: LayerName) -> tuple[TimeWindow, ...]:
    """Return the parts of the plan's window, cut where an edition ends or begins, in which a layer holds."""
    window, records = plan.window, records_of(world.layers, layer)
    if window is None:
        return ()
    stated = {moment for record in records for moment in (record.effective_utc, record.expires_utc)}
    cuts = sorted(moment for moment in stated if moment and window.start_utc < moment < window.end_utc)
    parts = [TimeWindow(*ends) for ends in pairwise([window.start_utc, *cuts, window.end_utc])]
    dated, needed = layer is not LayerName.TERRAIN, extent_of(plan)
    return tuple(
        part
        for part in parts
        if state_of(records, needed, part, needs_dates=dated, codes=UNITED_STATES)[0] is LayerState.OK
    )


def weight_in(row: Unknown, state: LayerState) -> Weight:
    """Return what a layer's standing means for a plan."""
    if state is LayerState.MISSING and not row.everywhere:
        return Weight.ADVISORY
    return Weight.RESTRICTING if row.closing and state is LayerState.DAMAGED else row.weight


def extent_of(plan: Plan) -> BaseGeometry | None:
    """Return where the plan needs data (lon/lat), None if nothing is drawn.

    Where the aircraft returns to by itself is flown to as well as what is drawn.
    """
    spots = [spot.place for spot in (plan.launch, plan.landing) if spot]
    spots += [plan.return_point] if plan.return_point else []
    corners = list(plan.area.ring) if plan.area else []
    places = [*spots, *corners, *(point.place for point in plan.path)]
    if not places:
        return None
    lon_deg, lat_deg = [place.lon_deg for place in places], [place.lat_deg for place in places]
    points = np.array([lon_deg, lat_deg]).T
    # Of thousands of points a line is made in a tenth of the time that points take; it needs two.
    hull = shapely.convex_hull(shapely.linestrings(points) if len(points) > 1 else shapely.points(points[0]))
    assert isinstance(hull, BaseGeometry)
    return hull
