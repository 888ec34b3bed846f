"""Answers of a map service that are no whole layer: cut off at its limit, or an error in place of one."""

import re
import zipfile
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import IO

from planner.errors import ChartError
from planner.world.readers.cut_short_xml import ANSWERED, PART, REST, fault_of_xml

_PIECE_BYTES = 8_000_000
_LONGEST_BYTES = 4_096
# So says a service that gives no more than so many features at once, at the top or in its properties.
_CUT_OFF = re.compile(rb'"exceededTransferLimit"\s{0,32}:\s{0,32}(?:true|"true"|1\b)', re.IGNORECASE)
_ERROR = re.compile(
    rb'"error"\s{0,32}:\s{0,32}\{\s{0,32}"(?:code|message|details|status)"\s{0,32}:', re.IGNORECASE
)
_MATCHED = re.compile(
    rb'"(?:numberMatched|totalFeatures|context"\s{0,32}:\s{0,32}\{[^{}]{0,256}"matched)"\s{0,32}:\s{0,32}(\d{1,12})'
)
_FEATURE = re.compile(rb'"type"\s{0,32}:\s{0,32}"Feature"')
_PAGES = {rb"next": "a link to the next page", rb"prev(?:ious)?": "a link to the page before"}
_OTHER_PAGES = {
    re.compile(
        rb'"rel"\s{0,32}:\s{0,32}\[?\s{0,32}"%b"|"%b"\s{0,32}:\s{0,32}"(?:https?:)?/' % (page, page),
        re.IGNORECASE,
    ): words
    for page, words in _PAGES.items()
}
_NAMES = frozenset({".json", ".geojson", ".kml", ".gml", ".xml"})


def refuse_cut_short(path: Path) -> None:
    """Refuse JSON, GML or KML that says of itself that it is not all of a layer: the rest would be open.

    Raises
    ------
    ChartError
        If it says so.
    """
    for content in _texts(path):
        fault = _fault(content)
        if fault:
            what, remedy = fault
            raise ChartError(what, where=str(path), remedy=remedy)


def _texts(path: Path) -> Iterator[IO[bytes]]:
    """Yield the file, or the files of text in an archive; what can't be opened is told where it is read."""
    try:
        if path.suffix.casefold() in {".zip", ".kmz"} and zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as archive:
                for member in archive.infolist():
                    if Path(member.filename).suffix.casefold() in _NAMES:
                        with archive.open(member) as file:
                            yield file
        elif path.is_file():
            with path.open("rb") as file:
                yield file
    except (OSError, zipfile.BadZipFile, ValueError, RuntimeError, NotImplementedError):
        return


def _fault(file: IO[bytes]) -> tuple[str, str] | None:
    first = file.read(_PIECE_BYTES)
    begins = first.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n\0")[:1]
    read = chain([first], iter(lambda: file.read(_PIECE_BYTES), b""))
    if begins in {b"{", b"["}:
        return _fault_of_json(_overlapping(read))
    return fault_of_xml(read) if begins == b"<" else None


def _overlapping(pieces: Iterable[bytes]) -> Iterator[tuple[int, bytes]]:
    """Yield pieces of a text, each after the end of the one before, and how long that end is."""
    kept = b""
    for piece in pieces:
        # In two bytes a letter every other one is nothing.
        text = kept + (piece.replace(b"\0", b"") if b"\0" in piece else piece)
        yield len(kept), text
        kept = text[-_LONGEST_BYTES:]


def _fault_of_json(pieces: Iterable[tuple[int, bytes]]) -> tuple[str, str] | None:
    matched, features = 0, 0
    for kept, text in pieces:
        if _CUT_OFF.search(text):
            return PART.format("exceededTransferLimit"), REST
        for page, words in _OTHER_PAGES.items():
            if page.search(text):
                return PART.format(words), REST
        if _ERROR.search(text):
            return ANSWERED
        matched = max([matched, *map(int, _MATCHED.findall(text))])
        features += sum(found.end() > kept for found in _FEATURE.finditer(text))
    return (PART.format(f"{matched} match, {features} are in it"), REST) if matched > features else None
