"""The mapped things a flight can meet, laid into one plane, each with its column."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol, TypeVar

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.records import PermissionRecord
from planner.track.levels import Level, Levels, airspace_levels, limit_levels
from planner.track.sunken import without_sunken_tops
from planner.units import GROUND_LIMIT_M, STRUCTURE_ALLOWANCE_M, STRUCTURE_RADIUS_M
from planner.world.airspace import AirspaceVolume, FacilityCell
from planner.world.buildings import Building, lay_buildings
from planner.world.obstacles import Obstacles, lay_obstacles
from planner.world.outlines import Outlines, lay_out
from planner.world.plane_terrain import PlaneTerrain
from planner.world.sites import FixedSite
from planner.world.structures import Structure
from planner.world.world import World


class _Keyed(Protocol):
    @property
    def key(self) -> str: ...


Floats = NDArray[np.float64]
Thing = TypeVar("Thing")
KeyedThing = TypeVar("KeyedThing", bound=_Keyed)

NOWHERE = -1
_NEAR_DEG = 1.5
"""Beyond that from the frame's origin nothing is asked of a plan or drawn of its limits."""


@attrs.frozen(eq=False)
class Mapped:
    """A world laid into a plane.

    Each dictionary gives the thing behind a column of `outlines`, in the
    order of keys, so that answers do not depend on the order of files. A
    record of permission has a column only if it is bounded by a ring.
    `structures` are those that raise the limit, `obstacles` all that stand.
    `airspace_known_in` is the column of where it is known which airspace there is: None, everywhere near;
    `NOWHERE`, nowhere. `buildings` are those that charts show on bare ground. `heights_of_ways` is kept for
    `way_samples`, and changes no answer.
    """

    frame: LocalFrame
    ground: PlaneTerrain | None
    outlines: Outlines
    airspace: dict[int, AirspaceVolume]
    cells: dict[int, FacilityCell]
    sites: dict[int, FixedSite]
    structures: dict[int, Structure]
    record_columns: dict[PermissionRecord, int]
    levels: Levels
    obstacles: Obstacles
    airspace_known_in: int | None = None
    buildings: tuple[Building, ...] = ()
    heights_of_ways: dict[bytes, tuple[Floats, Floats]] = attrs.field(init=False, factory=dict, repr=False)


def usable_radius_m(structure: Structure) -> float | None:
    """Return the radius within which a structure raises the limit [m], None if it can't.

    The 400-ft radius of 14 CFR 107.51(b)(1) less the record's horizontal
    error. A record without accuracy or top, of a dismantled structure, or of
    one point of a line of wires gives nothing.
    """
    if structure.dismantled or structure.is_point_of_line or structure.top_amsl_m is None:
        return None
    if structure.horizontal_error_m is None or structure.vertical_error_m is None:
        return None
    radius_m = STRUCTURE_RADIUS_M - structure.horizontal_error_m
    return radius_m if radius_m > 0 else None


def structure_limit_amsl_m(structure: Structure) -> float:
    """Return what a structure raises the limit to within its radius [m AMSL].

    400 ft above its top, less the record's vertical error (14 CFR 107.51(b)(2)).
    """
    if structure.top_amsl_m is None:
        return -math.inf
    return structure.top_amsl_m - (structure.vertical_error_m or 0.0) + STRUCTURE_ALLOWANCE_M


def map_world(
    world: World,
    records: Iterable[PermissionRecord],
    frame: LocalFrame,
    *,
    obstacles: Iterable[Structure] | None = None,
    airspace_known: BaseGeometry | None = None,
) -> Mapped:
    """Lay the world, and the permissions on record, into a plane.

    `obstacles` are structures to keep clear of, the world's own if not given; `airspace_known` is where it is
    known which airspace there is (lon/lat), None everywhere.
    """
    records = tuple(records)
    rings = [(record, ring) for record in records if (ring := _ring(record)) is not None]
    volumes, cells, sites = in_order(world.airspace), in_order(world.cells), in_order(world.fixed_sites)
    radii = [(structure, usable_radius_m(structure)) for structure in in_order(world.structures)]
    discs = [(structure, radius_m) for structure, radius_m in radii if radius_m is not None]
    shapes: list[BaseGeometry] = [
        *(volume.outline for volume in volumes),
        *(cell.outline for cell in cells),
        *(site.outline for site in sites),
        *(ring for _, ring in rings),
    ]
    known_in, outline = _known_near(airspace_known, frame, len(shapes))
    shapes += outline
    outlines = lay_out(enumerate(shapes), [(s.key, s.place, radius_m) for s, radius_m in discs], frame)
    first_cell = len(volumes)
    first_site = first_cell + len(cells)
    first_ring = first_site + len(sites)
    ground = PlaneTerrain.lay(world.terrain, frame) if world.terrain else None
    airspace = without_sunken_tops(_columns(volumes, 0), outlines, ground)
    by_site = _columns(sites, first_site)
    by_structure = _columns([structure for structure, _ in discs], len(shapes))
    record_columns = {record: first_ring + k for k, (record, _) in enumerate(rings)}
    return Mapped(
        frame=frame,
        ground=ground,
        outlines=outlines,
        airspace=airspace,
        cells=_columns(cells, first_cell),
        sites=by_site,
        structures=by_structure,
        record_columns=record_columns,
        levels=_levels(
            airspace, by_site, by_structure, {record: record_columns.get(record) for record in records}
        ),
        obstacles=lay_obstacles(world.structures if obstacles is None else obstacles, frame),
        airspace_known_in=known_in,
        buildings=lay_buildings(world.ground_features, frame, world.terrain),
    )


def _known_near(
    known: BaseGeometry | None, frame: LocalFrame, column: int
) -> tuple[int | None, list[BaseGeometry]]:
    """Return the column of where airspace is known, and its outline if it needs one."""
    if known is None:
        return None, []
    lon_deg, lat_deg = frame.origin.lon_deg, frame.origin.lat_deg
    wide_deg = _NEAR_DEG / max(math.cos(math.radians(lat_deg)), 0.1)
    near = shapely.box(lon_deg - wide_deg, lat_deg - _NEAR_DEG, lon_deg + wide_deg, lat_deg + _NEAR_DEG)
    if known.covers(near):
        return None, []
    there = shapely.intersection(known, near)
    flat = [part for part in shapely.get_parts(there) if part.geom_type == "Polygon"]
    return (column, [shapely.MultiPolygon(flat)]) if flat else (NOWHERE, [])


def _levels(
    airspace: Mapping[int, AirspaceVolume],
    sites: Mapping[int, FixedSite],
    structures: Mapping[int, Structure],
    records: Mapping[PermissionRecord, int | None],
) -> Levels:
    found: dict[int | None, list[Level]] = {None: [*limit_levels(AboveGround(GROUND_LIMIT_M))]}
    for column, volume in airspace.items():
        found[column] = [*airspace_levels(volume)]
    for column, site in sites.items():
        if site.ceiling_agl_m is not None:
            found[column] = [*limit_levels(AboveGround(site.ceiling_agl_m))]
    for column, structure in structures.items():
        found[column] = [*limit_levels(AboveSeaLevel(structure_limit_amsl_m(structure)))]
    for record, where in records.items():
        if isinstance(record.ceiling, AboveGround | AboveSeaLevel):
            found.setdefault(where, []).extend(limit_levels(record.ceiling))
    return found


def in_order(things: Iterable[KeyedThing]) -> list[KeyedThing]:
    """Return features in the order of their keys."""
    return sorted(things, key=lambda thing: thing.key)


def _columns(things: Sequence[Thing], first: int) -> dict[int, Thing]:
    return dict(enumerate(things, start=first))


def _ring(record: PermissionRecord) -> BaseGeometry | None:
    if record.ring is None:
        return None
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in record.ring])
