"""Aerodromes, their runways and frequencies, and what else is on the ground."""

import shapely

from planner.units import FOOT_M
from planner.world.layers import LayerName
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.sites import Aerodrome, AerodromeKind, Frequency, GroundFeature, GroundKind
from planner.world.world import World

_LAND_COVER_NAMES = (
    "LAND_COVER",
    "LANDCOVER",
    "CLASS_NAME",
    "NATURAL",
    "LANDUSE",
    "NLCD",
    "CLC_CODE",
    "NAME",
)
_TRAILS = frozenset({"trail", "path", "footway", "bridleway", "steps", "track"})
_AERODROME_KINDS = {kind.value: kind for kind in AerodromeKind}


def read_aerodromes(table: Table) -> Reading:
    """Return the aerodromes."""
    aerodromes, refusals = collect(table, _aerodrome, of_spots=True)
    return Reading(World(aerodromes=tuple(aerodromes)), refusals)


def read_runways(table: Table) -> Reading:
    """Return the runways as ground features named after their aerodrome."""
    return _features(table, GroundKind.RUNWAY, ("AERODROME", "NAME", "LE_IDENT", "HE_IDENT"))


def read_roads(table: Table) -> Reading:
    """Return roads, and as trails those whose KIND says so."""
    return _features(table, GroundKind.ROAD, ("NAME", "FULLNAME"))


def read_buildings(table: Table) -> Reading:
    """Return the buildings."""
    return _features(table, GroundKind.BUILDING, ("NAME",))


def read_gathering_places(table: Table) -> Reading:
    """Return the places where people gather."""
    return _features(table, GroundKind.GATHERING, ("NAME",))


def read_wires(table: Table) -> Reading:
    """Return wires and cables, as far as anybody has charted them."""
    return _features(table, GroundKind.WIRE, ("NAME", "OWNER"))


def read_water(table: Table) -> Reading:
    """Return water."""
    return _features(table, GroundKind.WATER, ("NAME", "GNIS_NAME", "FULLNAME"))


def read_land_cover(table: Table) -> Reading:
    """Return what grows or stands there, named by its class."""
    return _features(table, GroundKind.LAND_COVER, _LAND_COVER_NAMES)


def read_frequencies(table: Table) -> Reading:
    """Return radio frequencies; one that is no figure is refused."""
    frequencies, refusals = collect(table, _frequency, of_spots=True)
    return Reading(World(frequencies=tuple(frequencies)), refusals)


def _frequency(row: Row) -> Frequency:
    mhz = row.number("FREQUENCY_MHZ")
    if row.text("TORN"):
        raise RefusedError(f"a line does not have the table's columns ({row.text('TORN')!r})")
    if mhz is None:
        raise RefusedError(f"{row.text('FREQUENCY_MHZ')!r} is no frequency")
    return Frequency(
        aerodrome=row.text("AERODROME"),
        use=row.text("TYPE"),
        mhz=mhz,
        shape=shapely.Point() if row.shape is None else row.shape,
        description=row.text("DESCRIPTION"),
    )


def _aerodrome(row: Row) -> Aerodrome:
    elevation_ft = row.number("ELEV_FT")
    return Aerodrome(
        ident=row.text("IDENT"),
        name=row.text("NAME", "IDENT"),
        place=row.place(),
        elevation_amsl_m=None if elevation_ft is None else elevation_ft * FOOT_M,
        kind=_AERODROME_KINDS.get(row.text("KIND").casefold(), AerodromeKind.UNKNOWN),
    )


def _height_m(row: Row) -> float | None:
    """Return the height above ground; only a name that says its unit counts: HEIGHT could be either."""
    metres, feet = row.number("HEIGHT_M"), row.number("HEIGHT_FT")
    height_m = feet * FOOT_M if metres is None and feet is not None else metres
    return height_m if height_m is not None and height_m > 0.0 else None


def _features(table: Table, kind: GroundKind, names: tuple[str, ...]) -> Reading:
    def feature(row: Row) -> GroundFeature:
        trail = kind is GroundKind.ROAD and bool(
            _TRAILS & {row.text("KIND").casefold(), row.text("HIGHWAY").casefold()}
        )
        name = " ".join(dict.fromkeys(part for part in map(row.text, names) if part))
        return GroundFeature(GroundKind.TRAIL if trail else kind, name, row.any_shape(), _height_m(row))

    features, refusals = collect(table, feature, of_spots=True)
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
WIRES = FileKind(LayerName.WIRES, "wires", (), read_wires)
WATER = FileKind(LayerName.WATER, "water", (), read_water)
LAND_COVER = FileKind(LayerName.LAND_COVER, "land cover", (), read_land_cover)
FREQUENCIES = FileKind(
    LayerName.FREQUENCIES, "frequencies", (frozenset({"FREQUENCY_MHZ"}),), read_frequencies
)
GATHERING_PLACES = FileKind(LayerName.GATHERING_PLACES, "gathering places", (), read_gathering_places)
