"""What an action on lost link takes of permissions: more height, other cells, airspace nothing drawn enters.

Whoever is granted what the flight needs without it has a plan that must change. What comes down by itself
through such airspace takes it as a return does.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.flight.upright import Upright, ways_down
from planner.permission.cells import SNAP_M, TouchedCells, touched_cells
from planner.permission.entries import top_amsl_m
from planner.permission.need import Rise, Subject
from planner.permission.needs import AirspaceUse, route_over, uses_besides
from planner.permission.part import Part
from planner.permission.routes import LEAD_TIMES
from planner.rules.area_down import down_beside_area
from planner.rules.as_asked import as_asked
from planner.rules.case import Case
from planner.rules.flown_besides import flown_besides, home_on_lost_link
from planner.rules.lost_ways import returned_in
from planner.rules.undrawn import launch_ground_m
from planner.rules.undrawn_samples import wants_authorization
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import AirspaceVolume

_EDGE_M = 0.2
"""What home on lost link is grown by, and a little: it may leave a site by no more."""


def with_airspace_on_return(case: Case) -> Case:
    """Return the case with a need for each airspace to ask for that ways on lost link alone enter."""
    used = {column for use in case.uses for column in use.volumes}
    ways = return_samples(case, lambda column, volume: wants_authorization(volume) and column not in used)
    if case.mapped is None or not ways:
        return case
    found = uses_besides(case.plan, case.mapped, case.uses, ways, launch_ground_m(case))
    return _with_uses(case, (*case.uses, *found)) if found else case


def return_samples(case: Case, wanted: Callable[[int, AirspaceVolume], bool]) -> tuple[WaySamples, ...]:
    """Return those places of ways on lost link that lie in outlines of some airspace, asked by column."""
    if case.mapped is None:
        return ()
    samples = [
        attrs.evolve(one, where="on its way home on lost link")
        for places in case.returned
        if (one := returned_in(case.mapped, places, wanted)) is not None
    ]
    samples += coming_down(case, case.mapped, wanted)
    if not samples:
        return ()
    swept = home_on_lost_link(case)
    return tuple(attrs.evolve(one, footprint=swept, on_lost_link=True) for one in samples)


def coming_down(
    case: Case, mapped: Mapped, wanted: Callable[[int, AirspaceVolume], bool]
) -> Iterator[WaySamples]:
    """Yield where an action that stays comes down through each airspace, beneath the path or from an area."""
    loss = case.flight.loss if case.flight is not None else None
    if loss is not None and loss.failsafe.action not in RETURNS:
        yield from _down_through(mapped, ways_down(loss), wanted)
    yield from down_beside_area(case, mapped, wanted)


def with_heights_on_return(case: Case) -> Case:
    """Return the case with needs that hold home on lost link, too: height, cells touched, route.

    Of an agency as much is asked as the request sheet has it. Of what is on record nothing changes: there
    the return is held against the record.
    """
    case, mapped = _with_agencies_heights(case), case.mapped
    asks = [use for use in case.uses if use.need.subject is Subject.AIRSPACE and not use.need.recorded]
    if mapped is None or not asks:
        return case
    rises = _most(case.rises_on_return, _rises_coming_down(case, mapped, asks))
    swept = home_on_lost_link(case)
    if not rises and not case.rises_as_flown and swept.is_empty:
        return case
    uses = tuple(_widened(case, mapped, use, rises, swept) if use in asks else use for use in case.uses)
    return case if uses == case.uses else _with_uses(case, uses)


def _with_agencies_heights(case: Case) -> Case:
    asks = [
        use
        for use in case.uses
        if use.need.subject is Subject.AREA_CLOSED_BY_AGENCY and not use.need.recorded
    ]
    if case.mapped is None or not asks:
        return case
    wider = {id(use): as_asked(case.mapped, use, flown_besides(case)) for use in asks}
    return _with_uses(case, tuple(wider.get(id(use), use) for use in case.uses))


def _rises_coming_down(case: Case, mapped: Mapped, asks: Sequence[AirspaceUse]) -> dict[int, float]:
    """Return, by column, how far above the height needed what comes down by itself begins to [m].

    Over the ground where it comes down: thrown ahead over a slope that falls it is higher than flown.
    """
    columns = {column for use in asks for column in use.volumes}
    rises: dict[int, float] = {}
    for samples in coming_down(case, mapped, lambda column, _volume: column in columns):
        above_m = samples.planned_amsl_m - samples.lowest_ground_amsl_m
        for use in asks:
            for column, there in Part.of(samples, use.volumes, mapped).by_volume.items():
                rise_m = float(np.fmax.reduce(above_m[there])) - (use.need.asked_agl_m or 0.0)
                if rise_m > rises.get(column, 0.0):
                    rises[column] = rise_m
    return rises


def _most(one: Mapping[int, float], other: Mapping[int, float]) -> dict[int, float]:
    return {column: max(one.get(column, 0.0), other.get(column, 0.0)) for column in one.keys() | other.keys()}


def _down_through(
    mapped: Mapped, down: Upright, wanted: Callable[[int, AirspaceVolume], bool]
) -> Iterator[WaySamples]:
    """Yield where it comes down through each airspace; no higher than that goes up, if it begins above it."""
    places = np.column_stack([down.x_m, down.y_m])
    known = np.isfinite(places).all(axis=1)
    if not known.any():
        return
    box = np.concatenate([places[known].min(axis=0), places[known].max(axis=0)])
    inside = {
        column: known & shapely.intersects_xy(mapped.outlines.polygon(column), down.x_m, down.y_m)
        for column in map(int, mapped.outlines.columns_near(box))
        if (volume := mapped.airspace.get(column)) is not None and wanted(column, volume)
    }
    anywhere = (
        np.flatnonzero(np.any(list(inside.values()), axis=0)) if inside else np.empty(0, dtype=np.int64)
    )
    if not len(anywhere):
        return
    # The ground is asked once, however many airspaces lie one over the other.
    whole = sample_way(mapped, places[anywhere], down.high_m[anywhere], down.low_m[anywhere])
    for column, there in inside.items():
        if there.any():
            samples = whole.only(there[anywhere])
            with np.errstate(invalid="ignore"):
                to_m = np.minimum(samples.planned_amsl_m, top_amsl_m(mapped.airspace[column], samples))
            yield attrs.evolve(
                samples, planned_amsl_m=to_m, where="where it comes down by itself on lost link"
            )


def _with_uses(case: Case, uses: tuple[AirspaceUse, ...]) -> Case:
    known = {id(use.need) for use in case.uses}
    others = [need for need in case.needs if id(need) not in known]
    return attrs.evolve(case, uses=uses, needs=(*(use.need for use in uses), *others))


def _widened(
    case: Case, mapped: Mapped, use: AirspaceUse, rises: Mapping[int, float], swept: BaseGeometry
) -> AirspaceUse:
    need = use.need
    causes = {Rise.ON_LOST_LINK: rises, Rise.AS_FLOWN: case.rises_as_flown}
    rise_m, rise = max(
        ((by_column.get(column, 0.0), why) for why, by_column in causes.items() for column in use.volumes),
        key=lambda one: one[0],
    )
    there = _swept_there(mapped, use, rises, swept)
    cells, sites = use.cells, use.in_sites
    if not there.is_empty:
        cells = _together(use.cells, _cells(mapped, there))
        sites = tuple(one for one in sites if _holds(mapped, one, there))
    same_cells = cells.cells == use.cells.cells and cells.complete == use.cells.complete
    if rise_m <= 0.0 and same_cells and sites == use.in_sites:
        return use
    asked_m = None if need.asked_agl_m is None else need.asked_agl_m + rise_m
    route, others = route_over(case.plan, asked_m, cells, sites)
    wider = attrs.evolve(
        need,
        route=route,
        alternatives=others,
        cell_ceiling_agl_m=cells.ceiling_agl_m,
        asked_agl_m=asked_m,
        rise_m=0.0 if asked_m is None else rise_m,
        rise=rise,
        lead_time=LEAD_TIMES[route],
        cells=tuple(cell.key for cell in cells.cells),
    )
    return AirspaceUse(wider, use.volumes, cells, sites)


def _swept_there(
    mapped: Mapped, use: AirspaceUse, rises: Mapping[int, float], swept: BaseGeometry
) -> BaseGeometry:
    """Return what is swept over inside an airspace; nothing of one that begins above all returns."""
    if use.need.floor_amsl_m is not None and not rises.keys() & set(use.volumes):
        return shapely.GeometryCollection()
    return shapely.intersection(
        swept, shapely.union_all([mapped.outlines.polygon(column) for column in use.volumes])
    )


def _cells(mapped: Mapped, shape: BaseGeometry) -> TouchedCells:
    box = np.array(shape.bounds) + np.array([-SNAP_M, -SNAP_M, SNAP_M, SNAP_M])
    near = [int(column) for column in mapped.outlines.columns_near(box) if int(column) in mapped.cells]
    return touched_cells(shape, near, mapped)


def _together(one: TouchedCells, other: TouchedCells) -> TouchedCells:
    # By what they are: two of one key may give different heights.
    both = {id(cell): cell for cell in (*one.cells, *other.cells)}
    return TouchedCells(
        tuple(sorted(both.values(), key=lambda cell: cell.key)), one.complete and other.complete
    )


def _holds(mapped: Mapped, column: int, shape: BaseGeometry) -> bool:
    return bool(shapely.buffer(mapped.outlines.polygon(column), _EDGE_M).covers(shape))
