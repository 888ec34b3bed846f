"""What an authority's form asks for, airspace by airspace, reckoned from the flight."""

import math
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.permission.ask_times import AskTime, ask_times
from planner.permission.asked_heights import asked_heights
from planner.permission.besides import BESIDE_M, Besides, close_beside
from planner.permission.cells import SNAP_M, TouchedCells, flight_lines, touched_cells
from planner.permission.need import PermissionNeed, Rise
from planner.permission.needs import AirspaceUse
from planner.permission.part import Part
from planner.permission.records import same_name
from planner.permission.routes import TOLERANCE_M
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples, sample_area, sample_spots
from planner.track.track import Track
from planner.units import NAUTICAL_MILE_M
from planner.world.airspace import AirspaceVolume
from planner.world.sites import Aerodrome

MARGIN_M = 50.0
"""How far about the flight a request reaches unless the pilot says otherwise, common practice."""
LEAST_MARGIN_M = 10.0
"""So little is asked for at the least where a wider margin costs height, own choice: 8 m a satellite fix may
be off (`rules.beside`)."""

_Flown = tuple[Sequence[Track | AreaSamples], Besides]
_NOTHING = Besides()
_SLACK_SHARE = 0.25
_LEAST_SLACK_M = 1.0


@attrs.frozen
class Airport:
    """An airport as the facility map names it, with its identifier where the charts know it."""

    name: str
    ident: str = ""


@attrs.frozen
class Circle:
    """A circle on the ground: centre and radius [m]."""

    centre: Place
    radius_m: float


@attrs.frozen(eq=False)
class RequestArea:
    """Where is asked for.

    Parameters
    ----------
    ring : the outline, not closed, counter-clockwise. A flight in several parts
        has the outline that a string drawn round them all would have.
    circle : the smallest circle about it.
    cells : the facility map cells that the outline touches.
    circle_cells : those that the circle touches, which may be more.
    margin_m : how far the outline reaches about the flight [m], at least.
    is_cut : whether that is less than usual, so that no cell of less height is touched.
    """

    ring: tuple[Place, ...]
    circle: Circle
    cells: TouchedCells
    circle_cells: TouchedCells
    margin_m: float
    is_cut: bool = False


@attrs.frozen(eq=False)
class AirspaceRequest:
    """One request: what to enter for one airspace.

    Parameters
    ----------
    need : the permission needed: airspace, class, route, record in hand.
    ident : identifier of the airspace or its facility, '' if the charts give none.
    agency : who uses or controls it, as the charts name it, '' if they don't.
    airports : airports of the cells touched.
    highest_agl_m : greatest height above ground planned there, on lost link, too [m], None if unknown.
    way_rise_m : how much of it is flown on ways alone that are not drawn [m].
    rise_m, rise : how much more is flown higher than drawn or on lost link [m], and which.
    over_limit_m, over_limit_by : how far what is flown on lost link, or higher than drawn, comes above the
        limit on height [m], and which of both; no agency lifts it.
    on_lost_link : whether ways on lost link are held by area and height.
    bails_out : whether ways to bail-out places are, too.
    readout_error_m : how far the readout may be off [m], None if not given: so much higher the flight may be.
    start_utc, end_utc : the plan's window, None without one.
    times : when it can be asked for, each with its standing.
    asked_utc : when it is written, None where nobody says: then no time has passed.
    """

    need: PermissionNeed
    ident: str
    airports: tuple[Airport, ...]
    area: RequestArea
    highest_agl_m: float | None
    start_utc: datetime | None
    end_utc: datetime | None
    times: tuple[AskTime, ...]
    readout_error_m: float | None = None
    way_rise_m: float = 0.0
    rise_m: float = 0.0
    rise: Rise = Rise.ON_LOST_LINK
    over_limit_m: float = 0.0
    over_limit_by: Rise = Rise.ON_LOST_LINK
    on_lost_link: bool = False
    bails_out: bool = False
    agency: str = ""
    asked_utc: datetime | None = None

    @property
    def may_reach_agl_m(self) -> float | None:
        """Height above ground that the flight may reach with the readout's error [m], None if unknown."""
        if self.highest_agl_m is None or self.readout_error_m is None:
            return None
        return self.highest_agl_m + self.readout_error_m

    @property
    def outgrown(self) -> tuple[PermissionRecord, ...]:
        """What it has on record, if all of that is for less height above ground than is flown.

        On lost link, too. Of several that share a flight one may hold for less than another: together they
        are judged by the plan.
        """
        highest_m, held = self.highest_agl_m, self.need.records
        ends = [one.ceiling for one in held if isinstance(one.ceiling, AboveGround)]
        if highest_m is None or len(ends) < len(held):
            return ()
        return held if all(end.m < highest_m - TOLERANCE_M for end in ends) else ()

    @property
    def duration(self) -> timedelta | None:
        """How long the window is."""
        if self.start_utc is None or self.end_utc is None:
            return None
        return self.end_utc - self.start_utc

    @property
    def margin_lowers_value(self) -> bool:
        """Whether the margin touches a cell with less than the flight itself may ask for."""
        return _costs_height(self.need, self.area.cells)


def requests_of(
    plan: Plan,
    mapped: Mapped,
    uses: Sequence[AirspaceUse],
    track: Track | None,
    aerodromes: Iterable[Aerodrome] = (),
    *,
    margin_m: float | None = None,
    besides: Besides = _NOTHING,
) -> tuple[AirspaceRequest, ...]:
    """Return a request for each airspace that the plan uses, recorded or not, in the order of uses.

    Without a margin it is the usual one, or less where that touches a cell of less height. `besides` is what
    is flown in the airspaces beside what is drawn: it is asked for, too.
    """
    area = sample_area(plan, mapped) if plan.area and (plan.area.top or track is None) else None
    spots = sample_spots(plan, mapped)
    flown = [samples for samples in (track, area, spots) if samples is not None]
    known = tuple(aerodromes)
    return tuple(_request(plan, mapped, use, (flown, besides), known, margin_m) for use in uses)


def _request(
    plan: Plan,
    mapped: Mapped,
    use: AirspaceUse,
    flown: _Flown,
    aerodromes: Sequence[Aerodrome],
    margin_m: float | None,
) -> AirspaceRequest:
    area = _fitted_area(mapped, use, flown) if margin_m is None else _area(mapped, use, flown, margin_m)
    window, heights = plan.window, asked_heights(mapped, use, flown[1])
    over_limit_m, over_limit_by = flown[1].over_limit(use.volumes)
    volumes = [mapped.airspace[column] for column in use.volumes]
    return AirspaceRequest(
        need=use.need,
        ident=_ident(volumes),
        airports=_airports(area.cells, aerodromes),
        area=area,
        highest_agl_m=heights.highest_m if heights else None,
        way_rise_m=heights.way_rise_m if heights else 0.0,
        rise_m=heights.rise_m if heights else 0.0,
        rise=heights.rise if heights else use.need.rise,
        over_limit_m=over_limit_m,
        over_limit_by=over_limit_by,
        on_lost_link=flown[1].on_lost_link,
        bails_out=any(figure.bail_out is not None for figure in plan.figures),
        start_utc=window.start_utc if window else None,
        end_utc=window.end_utc if window else None,
        times=ask_times(use.need.route, window.start_utc) if window else (),
        agency=", ".join(sorted({volume.agency for volume in volumes if volume.agency})),
        readout_error_m=plan.readout_error_m,
    )


def _fitted_area(mapped: Mapped, use: AirspaceUse, flown: _Flown) -> RequestArea:
    """Return where is asked for with the widest margin up to the usual one that costs no height."""
    usual = _area(mapped, use, flown, MARGIN_M)
    if not _costs_height(use.need, usual.cells):
        return usual
    fitted, too_wide = None, int(MARGIN_M)
    low = math.ceil(LEAST_MARGIN_M)
    while low < too_wide:
        middle = (low + too_wide) // 2
        tried = _area(mapped, use, flown, float(middle))
        if _costs_height(use.need, tried.cells):
            too_wide = middle
        else:
            fitted, low = attrs.evolve(tried, is_cut=True), middle + 1
    return fitted or usual


def _costs_height(need: PermissionNeed, cells: TouchedCells) -> bool:
    of_flight = need.cell_ceiling_agl_m
    return of_flight is not None and (cells.ceiling_agl_m is None or cells.ceiling_agl_m < of_flight)


def _area(mapped: Mapped, use: AirspaceUse, flown: _Flown, margin_m: float) -> RequestArea:
    drawn, besides = flown
    parts = [Part.of(samples, use.volumes, mapped) for samples in drawn]
    footprints = [part.footprint(mapped) for part in parts if part.by_volume]
    outline = shapely.union_all([mapped.outlines.polygon(column) for column in use.volumes])
    inside = shapely.union_all([*footprints, besides.within(outline)])
    # What runs on close beside it, farther than the margin about what is inside reaches as far beyond.
    held = shapely.buffer(inside, max(margin_m - BESIDE_M, 0.0))
    beside = [shapely.difference(one, held) for one in close_beside(use.volumes, drawn, mapped)]
    flight = shapely.union_all([inside, *beside])
    if flight.is_empty:
        # What only touches it, at heights that nobody knows, is asked for as it is drawn.
        flight = shapely.union_all([_drawn_shape(samples) for samples in drawn])
    about = _about(flight, margin_m)
    circle = shapely.minimum_bounding_circle(about)
    centre, radius_m = shapely.centroid(circle), float(shapely.minimum_bounding_radius(about))
    return RequestArea(
        ring=_ring(about, mapped),
        circle=Circle(mapped.frame.xy_to_place(centre.x, centre.y), radius_m),
        cells=_cells(mapped, about),
        circle_cells=_cells(mapped, shapely.buffer(centre, radius_m, quad_segs=64)),
        margin_m=margin_m,
    )


def _drawn_shape(samples: Track | AreaSamples) -> BaseGeometry:
    if isinstance(samples, AreaSamples):
        return samples.footprint
    return flight_lines(samples.x_m, samples.y_m, np.ones(len(samples), dtype=bool))


def _about(flight: BaseGeometry, margin_m: float) -> shapely.Polygon:
    """Return a shape of few corners that holds everything within the margin of the flight."""
    slack_m = max(margin_m * _SLACK_SHARE, _LEAST_SLACK_M)
    grown = shapely.buffer(flight, margin_m + slack_m, quad_segs=8)
    few = shapely.simplify(grown, slack_m * 0.95, preserve_topology=True)
    whole = few if isinstance(few, shapely.Polygon) else shapely.convex_hull(few)
    return shapely.Polygon(shapely.get_coordinates(shapely.get_exterior_ring(whole)))


def _ring(part: shapely.Polygon, mapped: Mapped) -> tuple[Place, ...]:
    """Return the outer ring of a plane polygon, counter-clockwise as RFC 7946 has it."""
    points = shapely.get_coordinates(orient(part).exterior)[:-1]
    return tuple(mapped.frame.xy_to_place(float(x_m), float(y_m)) for x_m, y_m in points)


def _cells(mapped: Mapped, shape: BaseGeometry) -> TouchedCells:
    box = np.array(shape.bounds) + np.array([-SNAP_M, -SNAP_M, SNAP_M, SNAP_M])
    near = [int(column) for column in mapped.outlines.columns_near(box) if int(column) in mapped.cells]
    return touched_cells(shape, near, mapped)


def _ident(volumes: Sequence[AirspaceVolume]) -> str:
    return ", ".join(sorted({volume.ident for volume in volumes if volume.ident}))


def _airports(cells: TouchedCells, aerodromes: Sequence[Aerodrome]) -> tuple[Airport, ...]:
    named = {(cell.airport, cell.airport_ident) for cell in cells.cells if cell.airport}
    found = {_airport(name, ident, aerodromes) for name, ident in sorted(named)}
    others = {entry for cell in cells.cells for entry in cell.more_airports.split("; ") if entry}
    return (
        *sorted(found, key=lambda airport: (airport.name, airport.ident)),
        *(_coded(entry) for entry in sorted(others)),
    )


def _airport(name: str, ident: str, aerodromes: Sequence[Aerodrome]) -> Airport:
    if ident:
        return Airport(name, ident)
    for field in aerodromes:
        if same_name(field.name, name) or same_name(field.ident, name):
            return Airport(field.name, field.ident)
    return Airport(name)


def _coded(entry: str) -> Airport:
    ident, _, name = entry.partition(" ")
    return Airport(name or ident, ident)


def radius_nm(circle: Circle) -> float:
    """Return a circle's radius in nautical miles, rounded up to hundredths so that nothing is left out."""
    return math.ceil(circle.radius_m / NAUTICAL_MILE_M * 100 - 1e-9) / 100
