"""Standing security restrictions for unmanned aircraft."""

from datetime import datetime

from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.layers import LayerName
from planner.world.readers.limits import in_order, written_floor, written_top
from planner.world.readers.moments import widened
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import Row
from planner.world.readers.table import Table
from planner.world.world import World


def read(table: Table) -> Reading:
    """Return the table's volumes."""
    volumes, refusals = collect(table, _volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _volume(row: Row) -> AirspaceVolume:
    floor, top = in_order(written_floor(row.text("FLOOR")), written_top(row.text("CEILING")))
    begin_utc, end_utc = _activity(row)
    return AirspaceVolume(
        key=row.content_key("security"),
        name=row.text("FACILITY", "BASE", "NAME", "FAA_ID"),
        kind=AirspaceKind.SECURITY,
        outline=row.area(),
        floor=floor,
        top=top,
        ident=row.text("FAA_ID"),
        agency=row.text("BRANCH"),
        active_from_utc=begin_utc,
        active_to_utc=end_utc,
        layer=LayerName.SECURITY,
    )


def _activity(row: Row) -> tuple[datetime | None, datetime | None]:
    """Return when a part-time restriction holds at most; what can't be read counts as always."""
    begin, end = row.text("ACTIVETIME"), row.text("ENDTIME")
    if ":" not in begin or ":" not in end:
        return None, None
    begin_utc, end_utc = widened(begin, end)
    if begin_utc is None or end_utc is None:
        return None, None
    backwards = begin_utc > end_utc
    return (None, None) if backwards else (begin_utc, end_utc)


KIND = FileKind(
    LayerName.SECURITY,
    "security restrictions",
    (frozenset({"FLOOR"}), frozenset({"CEILING"}), frozenset({"FACILITY", "BASE", "FAA_ID", "REASON"})),
    read,
)
