"""Runways with both ends, and radio frequencies, as published in comma-separated tables."""

import csv
import io
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

import airportsdata
import shapely

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers.plain import one_line
from planner.world.readers.reading import Edition
from planner.world.readers.row import Row
from planner.world.readers.table import LayerTable, Table
from planner.world.readers.text_file import read_bytes

_LONGEST_FIELD = 10_000
_REMEDY = "fetch the table again"
_RENAMED = {"AIRPORT_IDENT": "AERODROME"}


def read_runways_csv(path: Path) -> tuple[Sequence[LayerTable], Edition]:
    """Return the runways as lines between their ends.

    Raises
    ------
    ChartError
        If the file is no comma-separated table.
    """
    columns, records = _records(path)
    rows = (Row(record, *_runway(record)) for record in records)
    return [(LayerName.RUNWAYS, Table.of(LayerName.RUNWAYS, rows, columns))], Edition()


def read_frequencies_csv(path: Path) -> tuple[Sequence[LayerTable], Edition]:
    """Return the frequencies, each at the place of its aerodrome where that is known.

    Raises
    ------
    ChartError
        If the file is no comma-separated table.
    """
    columns, records = _records(path)
    places = _aerodrome_points()
    rows = (Row(record, places.get(str(record.get("AERODROME", "")))) for record in records)
    return [(LayerName.FREQUENCIES, Table.of(LayerName.FREQUENCIES, rows, columns))], Edition()


def _records(path: Path) -> tuple[tuple[str, ...], Iterator[Mapping[str, object]]]:
    try:
        text = read_bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ChartError("is not text in UTF-8", where=str(path), remedy=_REMEDY) from None
    reader = csv.reader(io.StringIO(text, newline=""), strict=False)
    try:
        header = [name.strip().upper() for name in next(reader)]
        lines = [line for line in reader if line]
    except (csv.Error, StopIteration) as error:
        raise ChartError(f"is no comma-separated table ({error})", where=str(path), remedy=_REMEDY) from None
    columns = tuple(_RENAMED.get(name, name) for name in header)
    return columns, _named(columns, lines)


def _named(columns: Sequence[str], lines: Iterable[Sequence[str]]) -> Iterator[Mapping[str, object]]:
    for line in lines:
        if len(line) == len(columns):
            yield {name: one_line(value)[:_LONGEST_FIELD] for name, value in zip(columns, line, strict=True)}
        else:
            # A line torn or run together: nothing in it is sure to stand under its own name.
            yield {"TORN": one_line(",".join(line))[:80]}


def _runway(record: Mapping[str, object]) -> tuple[shapely.LineString | None, str]:
    if "TORN" in record:
        return None, f"a line does not have the table's columns ({record['TORN']!r})"
    ends = [_end(record, which) for which in ("LE", "HE")]
    known = [end for end in ends if end is not None]
    if len(known) < 2:
        return None, "an end has no latitude and longitude"
    return shapely.LineString(known), ""


def _end(record: Mapping[str, object], which: str) -> tuple[float, float] | None:
    try:
        lon_deg = float(str(record.get(f"{which}_LONGITUDE_DEG", "")))
        lat_deg = float(str(record.get(f"{which}_LATITUDE_DEG", "")))
    except ValueError:
        return None
    on_earth = (
        math.isfinite(lon_deg) and math.isfinite(lat_deg) and abs(lon_deg) <= 180 and abs(lat_deg) <= 90
    )
    return (lon_deg, lat_deg) if on_earth else None


@lru_cache(maxsize=1)
def _aerodrome_points() -> Mapping[str, shapely.Point]:
    return {
        ident: shapely.Point(entry["lon"], entry["lat"])
        for code in ("ICAO", "LID")
        for ident, entry in airportsdata.load(code).items()
    }
