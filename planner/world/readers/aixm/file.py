"""An AIXM 5.1 message with airspace, read as a stream, as rows of the authority's own layers."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import BinaryIO
from xml.etree.ElementTree import Element, ParseError, iterparse

import defusedxml
import numpy as np
import shapely
from defusedxml.ElementTree import DefusedXMLParser

from planner.errors import ChartError
from planner.geo.progress import Progress, Unwatched
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from planner.world.readers.aixm.element import local_name
from planner.world.readers.aixm.feature import Feature, features_of
from planner.world.readers.aixm.sums import volumes_of
from planner.world.readers.class_airspace import CLASS_LETTERS
from planner.world.readers.moments import moment_of
from planner.world.readers.reading import Edition
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.special_use import special_kind
from planner.world.readers.table import LayerTable, Table

_REMEDY = "fetch the AIXM file again from its publisher"
_DEEPEST = 200
_TOLD_EVERY = 50
_PARSED_SHARE = 0.8
_PIECE_BYTES = 4_000_000
_COLUMNS = (
    *("IDENT", "NAME", "LOCAL_NAME", "MIL_CODE", "GLOBAL_ID", "TYPE_CODE", "CLASS", "LOCAL_TYPE", "BEGINS"),
    *("LOWER_VAL", "LOWER_UOM", "LOWER_CODE", "UPPER_VAL", "UPPER_UOM", "UPPER_CODE", "PART"),
)


def read_aixm(path: Path, progress: Progress | None = None) -> tuple[Sequence[LayerTable], Edition]:
    """Return the airspace of a message: special use airspace and class airspace, each as its layer.

    `progress` is told how far it is, and may stop it.

    Raises
    ------
    ChartError
        If it is no well-formed XML, declares entities, or holds no airspace.
    """
    progress = progress or Unwatched()
    features = _features(path, progress)
    if not features:
        raise ChartError("holds no airspace", where=str(path), remedy=_REMEDY)
    known = {name: feature for feature in features for name in feature.names}
    rows: dict[LayerName, list[Row]] = {}
    for number, feature in enumerate(features):
        if number % _TOLD_EVERY == 0:
            progress.report(_PARSED_SHARE + (1.0 - _PARSED_SHARE) * number / len(features))
        layer = _layer(feature)
        rows.setdefault(layer, []).extend(_rows(feature, layer, known))
    tables = [
        (layer, Table.of(layer, _with_outlines(found), _columns(layer)))
        for layer, found in sorted(rows.items())
    ]
    return tables, Edition(effective_utc=_begins(features), note=_counted(len(features), tables))


def _counted(airspaces: int, tables: Sequence[LayerTable]) -> str:
    parts = sum(table.total for _, table in tables)
    return f"AIXM, {airspaces:,} airspaces" + (f" in {parts:,} parts" if parts != airspaces else "")


def _with_outlines(rows: Sequence[Row]) -> list[Row]:
    """Return rows with their shapes as a key is made of them: all at once takes half the time."""
    shapes = np.empty(len(rows), dtype=object)
    shapes[:] = [row.shape for row in rows]
    outlines = shapely.to_wkb(shapely.normalize(shapes)).tolist()
    return [
        Row(row.attributes, row.shape, row.fault, outline or b"")
        for row, outline in zip(rows, outlines, strict=True)
    ]


def _features(path: Path, progress: Progress) -> list[Feature]:
    found: list[Feature] = []
    try:
        _refuse_entities(path)
        for number, (airspace, share) in enumerate(_airspaces(path)):
            if number % _TOLD_EVERY == 0:
                progress.report(_PARSED_SHARE * share)
            found.extend(features_of(airspace))
    except ParseError as error:
        raise ChartError(f"is not well-formed XML ({error})", where=str(path), remedy=_REMEDY) from error
    except defusedxml.DefusedXmlException as error:
        raise ChartError(
            "declares a document type or entities, which no chart needs", where=str(path), remedy=_REMEDY
        ) from error
    except (OSError, LookupError, ValueError) as error:
        raise ChartError(f"can't be read ({error})", where=str(path), remedy=_REMEDY) from error
    return found


def _refuse_entities(path: Path) -> None:
    """Look through the whole file, making nothing of it, for what no chart declares.

    What is left after that the far quicker parser of the standard library can be trusted with.
    """
    parser = DefusedXMLParser(target=_Nothing(), forbid_dtd=True)
    parser.parser.DefaultHandlerExpand = None
    with path.open("rb") as file:
        while piece := file.read(_PIECE_BYTES):
            parser.feed(piece)
    parser.close()


class _Nothing:
    """What a parser builds when only its complaints are wanted."""


def _airspaces(path: Path) -> Iterator[tuple[Element, float]]:
    """Yield each airspace when it is complete, and the share of the file read; forget what lies behind."""
    size = max(path.stat().st_size, 1)
    root: Element | None = None
    depth = 0
    with path.open("rb") as file:
        for event, element in iterparse(_LongReads(file), events=("start", "end")):
            if event == "start":
                depth += 1
                root = element if root is None else root
                if depth > _DEEPEST:
                    raise ValueError(f"it nests deeper than {_DEEPEST} elements")
                continue
            depth -= 1
            if depth <= 2 and local_name(element) == "Airspace":
                yield element, min(file.tell() / size, 1.0)
            if depth == 1 and root is not None:
                root.clear()


class _LongReads:
    """A file read in long pieces: the parser looks again at a piece of text that is not complete yet."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def read(self, _size: int = -1) -> bytes:
        return self._file.read(_PIECE_BYTES)


def _begins(features: Sequence[Feature]) -> datetime | None:
    found = [moment for feature in features if (moment := moment_of(feature.begins, end_of_day=True))]
    return max(found, default=None)


def _layer(feature: Feature) -> LayerName:
    kind = special_kind(feature.type)
    controlled = kind is None or (kind is AirspaceKind.OTHER and feature.letters)
    return LayerName.CLASS_AIRSPACE if controlled else LayerName.SPECIAL_USE


def _columns(layer: LayerName) -> tuple[str, ...]:
    return (*_COLUMNS, "WKHR_RMK" if layer is LayerName.CLASS_AIRSPACE else "TIMESOFUSE")


def _rows(feature: Feature, layer: LayerName, known: dict[str, Feature]) -> Iterator[Row]:
    attributes: dict[str, object] = {
        **feature.attributes,
        "TYPE_CODE": feature.type,
        "BEGINS": feature.begins,
        "WKHR_RMK" if layer is LayerName.CLASS_AIRSPACE else "TIMESOFUSE": feature.hours,
    }
    if layer is LayerName.CLASS_AIRSPACE:
        attributes["CLASS"] = _strictest(feature.letters)
        attributes["LOCAL_TYPE"] = ""
    if feature.fault:
        yield Row(attributes, None, feature.fault)
        return
    try:
        volumes = volumes_of(feature, known)
    except RefusedError as error:
        yield Row(attributes, None, str(error))
        return
    for number, volume in enumerate(volumes, start=1):
        yield Row({**attributes, **volume.limits.attributes(), "PART": str(number)}, volume.outline)


def _strictest(letters: Sequence[str]) -> str:
    """Return the strictest class of an airspace with several: where each holds is not looked into."""
    unknown = [letter for letter in letters if letter not in CLASS_LETTERS]
    return unknown[0] if unknown else min(letters, default="")
