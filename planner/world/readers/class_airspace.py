"""Class airspace as the authority publishes it (check by LOCAL_TYPE, then CLASS)."""

import string

from planner.world.airspace import UNLIMITED, AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit
from planner.world.layers import LayerName
from planner.world.readers.limits import coded_limit, in_order
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World

_BY_LOCAL_TYPE = {
    "CLASS_B": AirspaceKind.CLASS_B,
    "CLASS_C": AirspaceKind.CLASS_C,
    "CLASS_D": AirspaceKind.CLASS_D,
    "CLASS_E2": AirspaceKind.CLASS_E2,
    "CLASS_E3": AirspaceKind.CLASS_E3,
    "CLASS_E4": AirspaceKind.CLASS_E4,
    "CLASS_E5": AirspaceKind.CLASS_E_OTHER,
    "CLASS_E6": AirspaceKind.CLASS_E_OTHER,
    "CLASS_E7": AirspaceKind.CLASS_E_OTHER,
    "CLASS_A": AirspaceKind.CLASS_A,
    "CLASS_F": AirspaceKind.OTHER,
    "CLASS_G": AirspaceKind.OTHER,
}
# 14 CFR 91.215(b)(2), asked of no small unmanned aircraft (107.52), and AIM 3-5-6, where taking part is free.
_OF_NO_CLASS = frozenset({"MODE_C", "TRSA"})
_BY_CLASS = {
    "A": AirspaceKind.CLASS_A,
    "B": AirspaceKind.CLASS_B,
    "C": AirspaceKind.CLASS_C,
    "D": AirspaceKind.CLASS_D,
    # Uncontrolled, by ICAO Annex 11: nothing is asked for there.
    "F": AirspaceKind.OTHER,
    "G": AirspaceKind.OTHER,
}
_NO_TOP = frozenset({"", "-9998", "-9998.0", "-9999", "-9999.0"})
CLASS_LETTERS = frozenset({*_BY_CLASS, "E"})


def read(table: Table) -> Reading:
    """Return the table's volumes; one whose class can't be read is refused."""
    volumes, refusals = collect(table, _volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _volume(row: Row) -> AirspaceVolume:
    above_surface = _BY_LOCAL_TYPE.get(_local_type(row)) is AirspaceKind.CLASS_E_OTHER
    floor = coded_limit(row, "LOWER", never_at_surface=above_surface)
    floor, top = in_order(floor, _top(row))
    return AirspaceVolume(
        key=row.content_key("class-airspace"),
        name=row.text("NAME", "IDENT"),
        kind=_kind(row, floor),
        outline=row.area(),
        floor=floor,
        top=top,
        ident=row.text("IDENT", "ICAO_ID"),
        agency=row.text("CONT_AGENT"),
        schedule=row.text("WKHR_RMK", "WKHR_CODE"),
        layer=LayerName.CLASS_AIRSPACE,
        utc_offset_h=row.number("GMTOFFSET"),
        summer_time=row.text("DST", "DST_CODE"),
    )


def _top(row: Row) -> VerticalLimit:
    """Return the top; Class E without one reaches up to what lies over it (FAA AIM 3-2-6)."""
    top = coded_limit(row, "UPPER")
    of_e = _local_type(row).startswith("CLASS_E") or row.text("CLASS").upper() == "E"
    return UNLIMITED if of_e and row.text("UPPER_VAL") in _NO_TOP else top


def _local_type(row: Row) -> str:
    return row.text("LOCAL_TYPE").upper().replace(" ", "_").replace("-", "_")


def _kind(row: Row, floor: VerticalLimit) -> AirspaceKind:
    local_type = _local_type(row)
    letter = row.text("CLASS").upper()
    if letter and letter not in _letters_beside(local_type):
        raise RefusedError(f"LOCAL_TYPE {local_type} and CLASS {letter} contradict each other")
    if local_type in _OF_NO_CLASS:
        return AirspaceKind.OTHER
    if local_type in _BY_LOCAL_TYPE:
        named = _BY_LOCAL_TYPE[local_type]
        # Class E of these kinds has a floor above the surface: without one it may be a surface area.
        return _undesignated_e(floor) if named is AirspaceKind.CLASS_E_OTHER else named
    if local_type not in {"", "CLASS_E"}:
        raise RefusedError(f"LOCAL_TYPE {local_type!r} is no class of airspace that is known")
    if letter in _BY_CLASS:
        return _BY_CLASS[letter]
    if letter == "E" or local_type == "CLASS_E":
        return _undesignated_e(floor)
    raise RefusedError(f"CLASS {letter!r} is none of A to G" if letter else "it names no class")


def _letters_beside(local_type: str) -> str:
    """Return the letters that CLASS may hold beside that LOCAL_TYPE."""
    if local_type in _OF_NO_CLASS:
        return "FG"
    if local_type in _BY_LOCAL_TYPE or local_type == "CLASS_E":
        return local_type.removeprefix("CLASS_")[0]
    return string.ascii_uppercase


def _undesignated_e(floor: VerticalLimit) -> AirspaceKind:
    """Return the careful reading of a Class E volume that does not say what it is for."""
    from_surface = floor.reference in {LimitReference.SURFACE, LimitReference.UNKNOWN}
    return AirspaceKind.CLASS_E2 if from_surface else AirspaceKind.CLASS_E_OTHER


KIND = FileKind(
    LayerName.CLASS_AIRSPACE,
    "class airspace",
    (frozenset({"LOCAL_TYPE", "CLASS"}), frozenset({"LOWER_VAL", "LOWER_CODE"})),
    read,
    never_with=frozenset({"TIMESOFUSE"}),
)
