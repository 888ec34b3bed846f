"""How a file is written, told by how it begins."""

import codecs
import re
from enum import StrEnum
from pathlib import Path

from planner.errors import ChartError

_HEAD_BYTES = 65_536
_ZONE_WORDS = re.compile(
    r'"(?:limitedApplicability|zoneAuthority|UASZone|horizontalProjection|verticalLayer|uomDimensions)"'
)


class FileForm(StrEnum):
    """How a publisher's file is written."""

    OBSTACLE_FILE = "fixed-column obstacle file"
    AIXM = "AIXM"
    UAS_ZONES = "zones for unmanned aircraft in JSON"
    RUNWAYS_CSV = "runways as CSV"
    FREQUENCIES_CSV = "frequencies as CSV"
    VECTOR = "vector file"


def form_of(path: Path) -> FileForm:
    """Return how a file is written; whatever is none of the others is left to GDAL.

    Raises
    ------
    ChartError
        If it is missing or can't be read.
    """
    if not path.is_file():
        raise ChartError("no such file", where=str(path), remedy="check its name and folder")
    try:
        with path.open("rb") as file:
            raw = file.read(_HEAD_BYTES)
    except OSError as error:
        raise ChartError(
            f"can't be read ({error.strerror or error})", where=str(path), remedy="check its permissions"
        ) from error
    return _form(_text(raw))


def _text(raw: bytes) -> str:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if raw.startswith(mark):
            return raw.decode(encoding, errors="replace")
    return raw.decode("latin-1")


def _form(head: str) -> FileForm:
    start = head.lstrip()
    first_line = start.split("\n", 1)[0]
    if "CURRENCY DATE" in first_line.upper() or start.upper().startswith("OAS#"):
        return FileForm.OBSTACLE_FILE
    if start.startswith("<"):
        return FileForm.AIXM if "aixm" in head.casefold() or "<!" in head else FileForm.VECTOR
    if start[:1] in {"{", "["}:
        return FileForm.UAS_ZONES if _speaks_of_zones(head) else FileForm.VECTOR
    return _table_form(first_line)


def _speaks_of_zones(head: str) -> bool:
    return bool(_ZONE_WORDS.search(head))


def _table_form(first_line: str) -> FileForm:
    names = {name.strip().strip('"').casefold() for name in first_line.split(",")}
    if {"le_latitude_deg", "he_latitude_deg"} <= names:
        return FileForm.RUNWAYS_CSV
    if "frequency_mhz" in names:
        return FileForm.FREQUENCIES_CSV
    return FileForm.VECTOR
