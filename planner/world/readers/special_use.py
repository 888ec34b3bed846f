"""Special use airspace as the authority publishes it; its limits are text."""

from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.layers import LayerName
from planner.world.readers.limits import coded_limit, in_order
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World

_KINDS = {
    "P": AirspaceKind.PROHIBITED,
    "R": AirspaceKind.RESTRICTED,
    # A danger area is what other authorities restrict by; taken as strictly.
    "D": AirspaceKind.RESTRICTED,
    "W": AirspaceKind.WARNING,
    "MOA": AirspaceKind.MILITARY_OPERATIONS,
    "A": AirspaceKind.ALERT,
    "NSA": AirspaceKind.NATIONAL_SECURITY,
    # Codes of AIXM (CodeAirspaceType). Airspace kept for or from somebody else is taken as restricted.
    "OTHER:MOA": AirspaceKind.MILITARY_OPERATIONS,
    "TSA": AirspaceKind.RESTRICTED,
    "TRA": AirspaceKind.RESTRICTED,
    "CBA": AirspaceKind.RESTRICTED,
    "PROTECT": AirspaceKind.RESTRICTED,
    "D_OTHER": AirspaceKind.ALERT,
    # They tell who serves or watches whom, and keep nobody out.
    "ADIZ": AirspaceKind.OTHER,
    "FIR": AirspaceKind.OTHER,
    "FIR_P": AirspaceKind.OTHER,
    "UIR": AirspaceKind.OTHER,
    "UIR_P": AirspaceKind.OTHER,
    "NO_FIR": AirspaceKind.OTHER,
    "OCA": AirspaceKind.OTHER,
    "OCA_P": AirspaceKind.OTHER,
    "SECTOR": AirspaceKind.OTHER,
    "SECTOR_C": AirspaceKind.OTHER,
    "RAS": AirspaceKind.OTHER,
}


def special_kind(code: str) -> AirspaceKind | None:
    """Return what a type of airspace means here, None if it is no special use airspace."""
    return _KINDS.get(code.upper())


def read(table: Table) -> Reading:
    """Return the table's volumes; one whose type can't be read is refused."""
    volumes, refusals = collect(table, _volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _volume(row: Row) -> AirspaceVolume:
    code = row.text("TYPE_CODE").upper()
    if code not in _KINDS:
        raise RefusedError(f"TYPE_CODE {code[:40]!r} is no type of special use airspace that is known")
    floor, top = in_order(coded_limit(row, "LOWER"), coded_limit(row, "UPPER"))
    return AirspaceVolume(
        key=row.content_key("special-use"),
        name=row.text("NAME", "IDENT"),
        kind=_KINDS[code],
        outline=row.area(),
        floor=floor,
        top=top,
        ident=row.text("IDENT"),
        agency=row.text("CONT_AGENT"),
        schedule=row.text("TIMESOFUSE"),
        layer=LayerName.SPECIAL_USE,
        utc_offset_h=row.number("GMTOFFSET"),
        summer_time=row.text("DST", "DST_CODE"),
    )


KIND = FileKind(
    LayerName.SPECIAL_USE,
    "special use airspace",
    (frozenset({"TYPE_CODE"}), frozenset({"TIMESOFUSE"}), frozenset({"LOWER_VAL", "LOWER_CODE"})),
    read,
    never_with=frozenset({"LOCAL_TYPE"}),
)
