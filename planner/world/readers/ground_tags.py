"""What is on the ground, from any vector file: each feature's layer told by its tags or classes.

Known are the keys of the OpenStreetMap data model, the feature class codes
(MTFCC) of the United States' census files, and plain columns that say what
they are. A feature that shows nothing of interest is in no layer.
"""

from collections.abc import Callable, Mapping, Sequence

import attrs

from planner.world.layers import LayerName
from planner.world.readers.row import Row
from planner.world.readers.table import LayerTable, Table

_NOTHING = frozenset({"", "no", "none", "0", "proposed", "abandoned", "razed", "demolished"})
_LINES = frozenset({"LineString", "MultiLineString"})
_AREAS = frozenset({"Polygon", "MultiPolygon"})

_GATHERING = frozenset(
    {
        *("school", "kindergarten", "college", "university", "place_of_worship", "theatre", "cinema"),
        *("marketplace", "hospital", "community_centre", "events_venue", "conference_centre", "stadium"),
        *(
            "pitch",
            "playground",
            "park",
            "sports_centre",
            "swimming_pool",
            "water_park",
            "track",
            "beach_resort",
        ),
        *("picnic_site", "camp_site", "caravan_site", "theme_park", "zoo", "fairground"),
    }
)
_WATER = frozenset(
    {"water", "bay", "river", "stream", "canal", "riverbank", "reservoir", "basin", "lake", "dock", "strait"}
)
_LAND_COVER = frozenset(
    {
        *(
            "wood",
            "forest",
            "scrub",
            "heath",
            "grassland",
            "meadow",
            "farmland",
            "orchard",
            "vineyard",
            "wetland",
        ),
        *(
            "residential",
            "commercial",
            "industrial",
            "retail",
            "sand",
            "bare_rock",
            "scree",
            "glacier",
            "quarry",
        ),
    }
)
_WIRES = frozenset({"line", "minor_line", "cable_car", "gondola", "chair_lift", "zip_line", "t-bar", "goods"})


def has_tags(columns: frozenset[str]) -> bool:
    """Whether a table has any columns by which features of the ground are told."""
    return "OTHER_TAGS" in columns or any(known & columns for known, _ in _TELLERS)


def split_by_tags(table: Table) -> Sequence[LayerTable]:
    """Return the table's features by layer; empty if its columns are none that are known."""
    told = [tell for columns, tell in _TELLERS if columns & table.columns]
    if not told:
        return []
    found: dict[LayerName, list[Row]] = {}
    for row in table.rows:
        layer = next((layer for tell in told if (layer := tell(row)) is not None), None)
        if layer is not None:
            found.setdefault(layer, []).append(row)
    return [
        (layer, attrs.evolve(table, rows=tuple(rows), total=len(rows), name=layer.value))
        for layer, rows in sorted(found.items())
    ]


def _value(row: Row, key: str) -> str:
    value = row.text(key).casefold()
    return "" if value in _NOTHING else value


def _by_key(row: Row) -> LayerName | None:
    """Return the layer by the keys of the OpenStreetMap data model."""
    for key, layer in _KEYS.items():
        if _value(row, key):
            return layer
    for keys, values, layer in _VALUES:
        if any(_value(row, key) in values for key in keys):
            return layer
    return None


_KEYS: Mapping[str, LayerName] = {"HIGHWAY": LayerName.ROADS, "BUILDING": LayerName.BUILDINGS}
_VALUES: Sequence[tuple[tuple[str, ...], frozenset[str], LayerName]] = (
    (("POWER", "AERIALWAY"), _WIRES, LayerName.WIRES),
    (("AMENITY", "LEISURE", "TOURISM"), _GATHERING, LayerName.GATHERING_PLACES),
    (("NATURAL", "WATERWAY", "WATER", "LANDUSE"), _WATER, LayerName.WATER),
    (("LANDUSE", "NATURAL", "LANDCOVER"), _LAND_COVER, LayerName.LAND_COVER),
)


def _by_census_class(row: Row) -> LayerName | None:
    """Return the layer by the first letters of an MTFCC: S roads, H water, K2 and up places of people."""
    code = row.text("MTFCC").upper()
    for start, layer in (
        ("S1", LayerName.ROADS),
        ("H", LayerName.WATER),
        ("K", LayerName.GATHERING_PLACES),
        ("L4", LayerName.WIRES),
    ):
        if code.startswith(start):
            return layer
    return None


def _always(layer: LayerName, shapes: frozenset[str]) -> Callable[[Row], LayerName | None]:
    """Return a teller for columns that one kind of table has: all rows are of it, the shape permitting."""
    return lambda row: layer if row.shape is None or row.shape.geom_type in shapes else None


_TELLERS: Sequence[tuple[frozenset[str], Callable[[Row], LayerName | None]]] = (
    (
        frozenset(
            {
                "HIGHWAY",
                "BUILDING",
                "POWER",
                "AERIALWAY",
                "AMENITY",
                "LEISURE",
                "TOURISM",
                "NATURAL",
                "WATERWAY",
                "LANDUSE",
            }
        ),
        _by_key,
    ),
    (frozenset({"MTFCC"}), _by_census_class),
    (
        frozenset({"RTTYP", "ROAD_CLASS", "ROADCLASS", "ROAD_TYPE", "ROADTYPE"}),
        _always(LayerName.ROADS, _LINES),
    ),
    (
        frozenset({"BUILD_ID", "BUILDING_ID", "BLDG_ID", "FOOTPRINT", "BLDG_HEIGHT", "OCC_CLS"}),
        _always(LayerName.BUILDINGS, _AREAS | {"Point", "MultiPoint"}),
    ),
    (
        frozenset({"VOLTAGE", "VOLT_CLASS", "KV", "LINE_VOLTAGE"}),
        _always(LayerName.WIRES, _LINES),
    ),
    (frozenset({"GNIS_NAME", "WATERBODY", "FTYPE", "REACHCODE"}), _always(LayerName.WATER, _LINES | _AREAS)),
    (frozenset({"LAND_COVER", "LANDCOVER", "NLCD", "CLC_CODE"}), _always(LayerName.LAND_COVER, _AREAS)),
)
