"""Answers of a map service that are no whole layer: cut off at its limit, or an error in place of one."""

import re
import zipfile
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import IO

from planner.errors import ChartError

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
_NEXT = re.compile(
    rb'"rel"\s{0,32}:\s{0,32}\[?\s{0,32}"next"|"next"\s{0,32}:\s{0,32}"(?:https?:)?/', re.IGNORECASE
)
# Answers in GML, where each collection says what it holds (OGC 09-025 and 04-094, from memory), and KML.
_COLLECTION = re.compile(rb"<(?:\w{1,64}:)?FeatureCollection\s([^<>]{0,3800})>")
_NEXT_OF_IT = re.compile(rb"(?:^|\s)next\s*=\s*[\"']\s*[^\"'\s]")
_COUNTS = tuple(
    re.compile(rb"(?:^|\s)" + name + rb"\s*=\s*[\"']\s*(\d{1,12})")
    for name in (b"numberMatched", b"numberReturned")
)
_TRUNCATED = re.compile(rb"<(?:\w{1,64}:)?truncatedResponse[\s>/]")
_MORE_ELSEWHERE = re.compile(rb"<(?:\w{1,64}:)?NetworkLink[\s>]")
_EXCEPTION = re.compile(rb"<(?:\w{1,64}:)?(?:Service)?ExceptionReport[\s>]")
_PART = "is only a part of its layer: the service that gave it has more features than it gives at once ({})"
_REST = "fetch the rest, page by page or area by area, or the publisher's whole file"
_ANSWERED = "holds an error that a service answered with, in place of a layer", "fetch it again"
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
    pieces = _pieces(file)
    first = next(pieces, (0, b""))
    begins = first[1].lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")[:1]
    if begins in {b"{", b"["}:
        return _fault_of_json(chain([first], pieces))
    return _fault_of_xml(chain([first], pieces)) if begins == b"<" else None


def _pieces(file: IO[bytes]) -> Iterator[tuple[int, bytes]]:
    """Yield pieces of a text, each after the end of the one before, and how long that end is."""
    kept = b""
    while piece := file.read(_PIECE_BYTES):
        # In two bytes a letter every other one is nothing.
        text = kept + (piece.replace(b"\0", b"") if b"\0" in piece else piece)
        yield len(kept), text
        kept = text[-_LONGEST_BYTES:]


def _fault_of_json(pieces: Iterable[tuple[int, bytes]]) -> tuple[str, str] | None:
    matched, features = 0, 0
    for kept, text in pieces:
        if _CUT_OFF.search(text):
            return _PART.format("exceededTransferLimit"), _REST
        if _NEXT.search(text):
            return _PART.format("a link to the next page"), _REST
        if _ERROR.search(text):
            return _ANSWERED
        matched = max([matched, *map(int, _MATCHED.findall(text))])
        features += sum(found.end() > kept for found in _FEATURE.finditer(text))
    return (_PART.format(f"{matched} match, {features} are in it"), _REST) if matched > features else None


def _fault_of_xml(pieces: Iterable[tuple[int, bytes]]) -> tuple[str, str] | None:
    for _, text in pieces:
        if _EXCEPTION.search(text):
            return _ANSWERED
        if _TRUNCATED.search(text):
            return _PART.format("truncatedResponse"), _REST
        if _MORE_ELSEWHERE.search(text):
            return "is only a part of its layer: it points to more of it elsewhere (NetworkLink)", _REST
        for collection in _COLLECTION.finditer(text):
            says = collection[1]
            if _NEXT_OF_IT.search(says):
                return _PART.format("a link to the next page"), _REST
            matched, returned = (count.search(says) for count in _COUNTS)
            if matched and returned and int(matched[1]) > int(returned[1]):
                counted = f"{int(matched[1])} match, {int(returned[1])} are in it"
                return _PART.format(counted), _REST
    return None
