"""The authority's obstacle file: fixed columns, four lines of header, one record a line.

Columns as checked on 18,179 published records (check_values 10). The change
file has other columns and is refused by its header.
"""

import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import shapely

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers.plain import one_line
from planner.world.readers.reading import Edition
from planner.world.readers.row import Row
from planner.world.readers.table import LayerTable, Table
from planner.world.readers.text_file import read_bytes

CYCLE = timedelta(days=56)

_COLUMNS = {
    "OAS": (0, 9),
    "VERIFIED": (10, 11),
    "COUNTRY": (12, 14),
    "STATE": (15, 17),
    "CITY": (18, 34),
    "TYPE": (62, 80),
    "QUANTITY": (81, 82),
    "AGL_FT": (83, 88),
    "AMSL_FT": (89, 94),
    "LIGHTING": (95, 96),
    "H_ACC": (97, 98),
    "V_ACC": (99, 100),
    "MARKING": (101, 102),
    "STUDY": (103, 117),
    "ACTION": (118, 119),
    "JDATE": (120, 127),
}
_LATITUDE, _LONGITUDE = slice(35, 47), slice(48, 61)
_SHORTEST_RECORD = 119
_LONGEST_RECORD = 132
_OAS = re.compile(r"[0-9A-Z]{2}-[0-9]{6}")
_FIGURE = re.compile(r"(?:[0-9]{1,5}|-[0-9]{1,4})?")
_ANGLE = re.compile(r"\s*(\d{1,3})\s+(\d{1,2})\s+(\d{1,2}(?:\.\d{1,2})?)\s*([NSEW])\s*")
_CURRENCY = re.compile(r"CURRENCY\s+DATE\s*=\s*(\d{1,2}/\d{1,2}/\d{2})\b", re.IGNORECASE)
_HEADER_LINES = 4
_REMEDY = "give the full obstacle file of the state or the country, as downloaded"


def read_obstacle_file(path: Path) -> tuple[Sequence[LayerTable], Edition]:
    """Return the file's records as rows, and its currency date.

    A record that can't be read is a row without a shape, which is refused.

    Raises
    ------
    ChartError
        If it has no header of an obstacle file, or that of a change file.
    """
    lines = read_bytes(path).decode("latin-1").split("\n")
    edition = _edition(path, lines[0])
    body = _first_record(path, lines)
    records = [line.rstrip("\r\x1a") for line in lines[body:]]
    rows = _rows([record for record in records if record.strip()])
    return [(LayerName.OBSTACLES, Table.of(LayerName.OBSTACLES, rows, _COLUMNS))], edition


def _edition(path: Path, first_line: str) -> Edition:
    stated = _CURRENCY.search(first_line)
    if stated is None:
        raise ChartError("has no currency date in its first line", where=str(path), remedy=_REMEDY)
    try:
        day = datetime.strptime(stated[1], "%m/%d/%y").replace(tzinfo=UTC)
    except ValueError:
        raise ChartError(
            f"its currency date {stated[1]} is no date", where=str(path), remedy=_REMEDY
        ) from None
    # A bare day counts from its end; a newer file is due 56 days after it.
    return Edition(
        effective_utc=day + timedelta(days=1), expires_utc=day + CYCLE, note=f"currency date {stated[1]}"
    )


def _first_record(path: Path, lines: Sequence[str]) -> int:
    """Return the number of the first record's line, after a header with the columns that are read."""
    header = [line.rstrip("\r") for line in lines[:_HEADER_LINES]]
    titles = next((k for k, line in enumerate(header) if "OAS#" in line.upper()), None)
    if titles is None or titles == 0 or len(header) < _HEADER_LINES:
        raise ChartError("has no header of an obstacle file", where=str(path), remedy=_REMEDY)
    above, names = header[titles - 1].upper(), header[titles].upper()
    expected = names.startswith("OAS#") and names[62:66] == "TYPE" and names[120:125] == "JDATE"
    if not expected or "LATITUDE" not in above[_LATITUDE] or "LONGITUDE" not in above[_LONGITUDE]:
        raise ChartError(
            "its columns are not those of the obstacle file (the change file has others)",
            where=str(path),
            remedy=_REMEDY,
        )
    return titles + 2 if header[-1].startswith("---") else titles + 1


def _rows(records: Sequence[str]) -> Iterator[Row]:
    faults = [_fault(record) for record in records]
    lon_deg = np.array([_angle_deg(r[_LONGITUDE], "EW") for r in records], dtype=float)
    lat_deg = np.array([_angle_deg(r[_LATITUDE], "NS") for r in records], dtype=float)
    points = np.asarray(shapely.points(np.column_stack([lon_deg, lat_deg]))).tolist()
    on_earth = (np.abs(lon_deg) <= 180.0) & (np.abs(lat_deg) <= 90.0)
    for record, fault, point, known in zip(records, faults, points, on_earth.tolist(), strict=True):
        attributes: dict[str, object] = {
            name: record[first:last].strip() for name, (first, last) in _COLUMNS.items()
        }
        if fault or not known:
            name = one_line(record[:34].strip())[:34]
            yield Row(attributes, None, fault or f"its position is no latitude and longitude, near {name!r}")
        else:
            yield Row(attributes, point)


def _fault(record: str) -> str:
    if not _SHORTEST_RECORD <= len(record) <= _LONGEST_RECORD:
        return "its record is cut short" if len(record) < _SHORTEST_RECORD else "its record is too long"
    if not _OAS.fullmatch(record[0:9]):
        return f"{one_line(record[:9])!r} is no number of an obstacle"
    for name in ("AGL_FT", "AMSL_FT"):
        first, last = _COLUMNS[name]
        if not _FIGURE.fullmatch(record[first:last].strip()):
            return f"{name} {one_line(record[first:last])!r} is no figure"
    return ""


def _angle_deg(text: str, letters: str) -> float:
    angle = _ANGLE.fullmatch(text)
    if angle is None or angle[4] not in letters or int(angle[2]) > 59 or float(angle[3]) >= 60.0:
        return float("nan")
    degrees = int(angle[1]) + int(angle[2]) / 60 + float(angle[3]) / 3600
    return -degrees if angle[4] in "SW" else degrees
