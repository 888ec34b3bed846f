"""One publisher's file in place of a chart set."""

from pathlib import Path

from planner.world.extent import Extent
from planner.world.layers import LayerRecord
from planner.world.merge import merged, told
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.reading import LayerPart, records_with
from planner.world.world import World

UNSTATED = "publisher not stated"


def read_publisher_file(path: Path, extent: Extent | None = None) -> World:
    """Return what a file contains, everything of it that is recognised.

    Its records have no coverage, and dates only if the file states them: it
    shows what it contains and never the absence of anything else.

    Raises
    ------
    ChartError
        If the file can't be read or nothing in it is of a known kind.
    """
    return merged(_with_record(path, part) for part in read_chart_file(path, extent))


def _with_record(path: Path, part: LayerPart) -> World:
    edition = part.edition
    record = LayerRecord(
        name=part.layer,
        publisher=edition.publisher or UNSTATED,
        source=f"{path.name}, {edition.note}" if edition.note else path.name,
        effective_utc=edition.effective_utc,
        expires_utc=edition.expires_utc,
        features=part.table.total,
    )
    return told(part.reading.content, records_with(record, part.reading.refusals))
