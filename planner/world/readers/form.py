"""How a file is written, told by how it begins, where that will do."""

import codecs
import re
from enum import StrEnum
from pathlib import Path
from typing import BinaryIO

from planner.errors import ChartError

_HEAD_BYTES = 65_536
_PIECE_BYTES = 8_000_000
_LONGEST_WORD_BYTES = 64
_LEADS_ELSEWHERE = re.compile(rb"<OGR\w*DataSource|<VRTDataset|<GDAL_\w+|gdal_streamed_alg|gdal_virtual_\w+")
"""Small files by which GDAL is sent to read others, or the net."""

_ZONE_WORDS = re.compile(
    rb'"(?:limitedApplicability|zoneAuthority|UASZone|horizontalProjection|verticalLayer|uomDimensions)"\s*:'
)
# Those of a feature, not those by which a file names its coordinate system.
_PROPERTIES = re.compile(rb'"properties"\s*:\s*\{(?!\s*"name"\s*:\s*"urn:)')


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
        If it is missing, can't be read, or only leads to other files.
    """
    if not path.is_file():
        raise ChartError("no such file", where=str(path), remedy="check its name and folder")
    try:
        with path.open("rb") as file:
            raw = file.read(_HEAD_BYTES)
            _refuse_lead(path, raw)
            form = _form(_text(raw))
            if form is FileForm.VECTOR and raw.lstrip()[:1] in {b"{", b"["} and _speaks_of_zones(file, raw):
                form = FileForm.UAS_ZONES
    except OSError as error:
        raise ChartError(
            f"can't be read ({error.strerror or error})", where=str(path), remedy="check its permissions"
        ) from error
    return form


def refuse_lead(path: Path) -> None:
    """Refuse a file that only leads to others: what it leads to may change, be gone, or lie on the net.

    Raises
    ------
    ChartError
        If it is one.
    """
    with path.open("rb") as file:
        _refuse_lead(path, file.read(_HEAD_BYTES))


def _refuse_lead(path: Path, head: bytes) -> None:
    if _LEADS_ELSEWHERE.search(head):
        raise ChartError(
            "holds nothing itself but only says where other files are to be read",
            where=str(path),
            remedy="give the publisher's own files",
        )


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
        # Whatever declares a document type goes to the reader that refuses entities.
        of_aixm = any(word in head.casefold() for word in ("aixm", "<!doctype", "<!entity"))
        return FileForm.AIXM if of_aixm else FileForm.VECTOR
    return FileForm.VECTOR if start[:1] in {"{", "["} else _table_form(first_line)


def _speaks_of_zones(file: BinaryIO, head: bytes) -> bool:
    """Whether JSON names a member that only zones have.

    A first feature whose properties lie well within the beginning shows it
    there; an outline before them can be of any length.
    """
    if _ZONE_WORDS.search(head):
        return True
    if len(head) == _HEAD_BYTES and _PROPERTIES.search(head, 0, _HEAD_BYTES // 2):
        return False
    kept = head[-_LONGEST_WORD_BYTES:]
    while piece := file.read(_PIECE_BYTES):
        if _ZONE_WORDS.search(kept + piece):
            return True
        kept = piece[-_LONGEST_WORD_BYTES:]
    return False


def _table_form(first_line: str) -> FileForm:
    names = {name.strip().strip('"').casefold() for name in first_line.split(",")}
    if {"le_latitude_deg", "he_latitude_deg"} <= names:
        return FileForm.RUNWAYS_CSV
    if "frequency_mhz" in names:
        return FileForm.FREQUENCIES_CSV
    return FileForm.VECTOR
