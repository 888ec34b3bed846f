"""Facility map cells: how high an automated request can be granted."""

import attrs
import shapely

from planner.units import FOOT_M
from planner.world.airspace import FacilityCell
from planner.world.layers import LayerName
from planner.world.readers.alike import read_once
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import Row, says_yes
from planner.world.readers.table import Table
from planner.world.world import World

_NOWHERE = shapely.Polygon()
_STEP_FT = 50.0
_HIGHEST_FT = 400.0
_ANSWERED_FOR = tuple(f"APT{number}_LAANC" for number in range(1, 6))
_AIRPORTS = tuple((f"APT{number}_NAME", f"APT{number}_ICAO", f"APT{number}_FAAID") for number in range(1, 6))
_SAYING = ("CEILING", "UNIT", *(name for names in _AIRPORTS for name in names), *_ANSWERED_FOR)


def read(table: Table) -> Reading:
    """Return the table's cells."""
    cells, refusals = collect(table, _cell)
    return Reading(World(cells=tuple(cells)), refusals)


def map_dates(table: Table) -> str:
    """Return the publisher's own effective dates (MAP_EFF), as text."""
    return ", ".join(sorted({date for row in table.rows if (date := row.text("MAP_EFF"))}))


def _cell(row: Row) -> FacilityCell:
    # Many cells say the same of the same airport, and a country has half a million of them.
    said = _said(*map(row.attributes.get, _SAYING))
    return attrs.evolve(said, key=row.content_key("cell"), outline=row.area())


@read_once
def _said(*values: object) -> FacilityCell:
    row = Row(dict(zip(_SAYING, values, strict=True)))
    unit = row.text("UNIT")
    ceiling_ft = row.number("CEILING")
    if unit.casefold() not in {"", "feet", "ft", "foot"} or not _published_step(ceiling_ft):
        ceiling_ft = None
    ceiling_agl_m = None if ceiling_ft is None else ceiling_ft * FOOT_M
    published = f"{row.text('CEILING')} {unit}".strip()
    (airport, ident), *others = [_airport(row, *names) for names in _AIRPORTS]
    return FacilityCell(
        "",
        _NOWHERE,
        ceiling_agl_m,
        published,
        airport=airport or ident,
        automated=_automated(row),
        airport_ident=ident,
        more_airports="; ".join(
            " ".join(filter(None, (code, name))) for name, code in others if name or code
        ),
    )


def _airport(row: Row, name: str, icao: str, faa: str) -> tuple[str, str]:
    return row.text(name), row.text(icao, faa)


def _published_step(ceiling_ft: float | None) -> bool:
    # JO 7210.3 ch. 12 §10: multiples of 50 ft from 0 to 400.
    return ceiling_ft is not None and 0.0 <= ceiling_ft <= _HIGHEST_FT and ceiling_ft % _STEP_FT == 0.0


def _automated(row: Row) -> bool:
    """Whether the automated service answers for every airport that the cell names."""
    said = [text for name in _ANSWERED_FOR if (text := row.text(name))]
    return bool(said) and all(map(says_yes, said))


KIND = FileKind(
    LayerName.FACILITY_MAP,
    "facility map",
    (frozenset({"CEILING"}), frozenset({"MAP_EFF", "APT1_FAAID", "APT1_ICAO", "APT1_LAANC"})),
    read,
)
