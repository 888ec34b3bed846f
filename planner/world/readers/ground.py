"""Aerodromes and what is on the ground: runways, roads, buildings, gathering places."""

from planner.units import FOOT_M
from planner.world.layers import LayerName
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import Row
from planner.world.readers.table import Table
from planner.world.sites import Aerodrome, AerodromeKind, GroundFeature, GroundKind
from planner.world.world import World

_AERODROME_KINDS = {kind.value: kind for kind in AerodromeKind}


def read_aerodromes(table: Table) -> Reading:
    """Return the aerodromes."""
    aerodromes, refusals = collect(table, _aerodrome)
    return Reading(World(aerodromes=tuple(aerodromes)), refusals)


def read_runways(table: Table) -> Reading:
    """Return the runways as ground features named after their aerodrome."""
    return _features(table, GroundKind.RUNWAY, ("AERODROME", "NAME"))


def read_roads(table: Table) -> Reading:
    """Return roads, and as trails those whose KIND says so."""
    return _features(table, GroundKind.ROAD, ("NAME",))


def read_buildings(table: Table) -> Reading:
    """Return the buildings."""
    return _features(table, GroundKind.BUILDING, ("NAME",))


def read_gathering_places(table: Table) -> Reading:
    """Return the places where people gather."""
    return _features(table, GroundKind.GATHERING, ("NAME",))


def _aerodrome(row: Row) -> Aerodrome:
    elevation_ft = row.number("ELEV_FT")
    return Aerodrome(
        ident=row.text("IDENT"),
        name=row.text("NAME", "IDENT"),
        place=row.place(),
        elevation_amsl_m=None if elevation_ft is None else elevation_ft * FOOT_M,
        kind=_AERODROME_KINDS.get(row.text("KIND").casefold(), AerodromeKind.UNKNOWN),
    )


def _features(table: Table, kind: GroundKind, names: tuple[str, ...]) -> Reading:
    def feature(row: Row) -> GroundFeature:
        trail = kind is GroundKind.ROAD and row.text("KIND").casefold() == "trail"
        name = " ".join(part for part in map(row.text, names) if part)
        return GroundFeature(GroundKind.TRAIL if trail else kind, name, row.any_shape())

    features, refusals = collect(table, feature)
    return Reading(World(ground_features=tuple(features)), refusals)


AERODROMES = FileKind(
    LayerName.AERODROMES,
    "aerodromes",
    (frozenset({"IDENT"}), frozenset({"ELEV_FT"}), frozenset({"KIND"})),
    read_aerodromes,
)
RUNWAYS = FileKind(
    LayerName.RUNWAYS,
    "runways",
    (frozenset({"LE_IDENT"}), frozenset({"HE_IDENT"})),
    read_runways,
)
ROADS = FileKind(LayerName.ROADS, "roads", (), read_roads)
BUILDINGS = FileKind(LayerName.BUILDINGS, "buildings", (), read_buildings)
GATHERING_PLACES = FileKind(LayerName.GATHERING_PLACES, "gathering places", (), read_gathering_places)
