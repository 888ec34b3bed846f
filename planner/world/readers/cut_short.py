"""Answers of a map service that are no whole layer: cut off at its limit, or an error in place of one."""

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from planner.errors import ChartError

_PIECE_BYTES = 8_000_000
_LONGEST_BYTES = 256
# So says a service that gives no more than so many features at once, at the top or in its properties.
_CUT_OFF = re.compile(rb'"exceededTransferLimit"\s{0,32}:\s{0,32}(?:true|"true"|1\b)', re.IGNORECASE)
_ERROR = re.compile(
    rb'"error"\s{0,32}:\s{0,32}\{\s{0,32}"(?:code|message|details|status)"\s{0,32}:', re.IGNORECASE
)
_MATCHED = re.compile(rb'"(?:numberMatched|totalFeatures)"\s{0,32}:\s{0,32}(\d{1,12})')
_FEATURE = re.compile(rb'"type"\s{0,32}:\s{0,32}"Feature"')
_NEXT = re.compile(rb'"rel"\s{0,32}:\s{0,32}"next"')
_PART = "is only a part of its layer: the service that gave it has more features than it gives at once ({})"
_REST = "fetch the rest, page by page or area by area, or the publisher's whole file"
_JSON_NAMES = frozenset({".json", ".geojson"})


def refuse_cut_short(path: Path) -> None:
    """Refuse JSON that says of itself that it is not all of a layer: what it lacks would be read as open.

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
    """Yield the file, or the files of JSON in an archive; what can't be opened is told where it is read."""
    try:
        if path.suffix.casefold() in {".zip", ".kmz"} and zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as archive:
                for member in archive.infolist():
                    if Path(member.filename).suffix.casefold() in _JSON_NAMES:
                        with archive.open(member) as file:
                            yield file
        elif path.is_file():
            with path.open("rb") as file:
                yield file
    except (OSError, zipfile.BadZipFile, ValueError, RuntimeError, NotImplementedError):
        return


def _fault(file: IO[bytes]) -> tuple[str, str] | None:
    kept, matched, features = b"", 0, 0
    while piece := file.read(_PIECE_BYTES):
        if not kept and piece.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n")[:1] not in {b"{", b"["}:
            return None
        # In two bytes a letter every other one is nothing.
        text = kept + (piece.replace(b"\0", b"") if b"\0" in piece else piece)
        if _CUT_OFF.search(text):
            return _PART.format("exceededTransferLimit"), _REST
        if _NEXT.search(text):
            return _PART.format("a link to the next page"), _REST
        if _ERROR.search(text):
            return "holds an error that a service answered with, in place of a layer", "fetch it again"
        matched = max([matched, *map(int, _MATCHED.findall(text))])
        features += sum(found.end() > len(kept) for found in _FEATURE.finditer(text))
        kept = text[-_LONGEST_BYTES:]
    return (_PART.format(f"{matched} match, {features} are in it"), _REST) if matched > features else None
