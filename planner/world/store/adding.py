"""Add publishers' files to a chart set, or make a new one: all of it or nothing."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

import attrs
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError, OutputError
from planner.geo.progress import Progress, Unwatched
from planner.geo.watched_work import watched
from planner.world.layers import LayerName
from planner.world.readers.cut_short import refuse_cut_short
from planner.world.readers.form import FileForm, form_of
from planner.world.readers.recognise import is_raster
from planner.world.readers.stadiums import reaching
from planner.world.readers.table import Table, read_table, table_names
from planner.world.readers.terrain import vertical_datum_of
from planner.world.set_outlines import kept_outline
from planner.world.set_record import FILE_NAME, SCHEMA, Quality
from planner.world.store.commit import (
    CHARTS_NAME,
    Document,
    commit_layers,
    commit_record,
    locked,
    set_document,
)
from planner.world.store.dates import Dates, check_stated, dates_of
from planner.world.store.geopackage import open_charts, write_features, write_rows
from planner.world.store.importing import AS_PUBLISHED, LayerImport, joined, read_layers
from planner.world.store.rasters import in_place_of, remove_unlisted, taken_in
from planner.world.terrain import SurfaceKind

RASTER_SUFFIXES = frozenset(
    {".tif", ".tiff", ".img", ".asc", ".bil", ".flt", ".hgt", ".dt0", ".dt1", ".dt2", ".vrt"}
)

_IMPORT_SHARE = 0.8


@attrs.frozen(eq=False)
class Identity:
    """What a new chart set is called, and whose rules it is made for; `area` bounds where they hold."""

    id: str
    title: str
    jurisdiction: str
    jurisdiction_name: str = ""
    area: BaseGeometry | None = None


@attrs.frozen(eq=False)
class Statement:
    """What whoever adds files states about them; what is left out is taken from the file if it says so.

    `effective` and `expires` are dates as text; `cycle_days` (28 or 56) instead
    of an end: that of the cycle which begins then. `covers` is where the files are complete; None:
    they show what they contain and say nothing of anything else. `layer` says
    what they are where their attributes don't tell. The last four are of terrain.
    """

    publisher: str = ""
    effective: str = ""
    expires: str = ""
    cycle_days: int | None = None
    covers: BaseGeometry | None = None
    layer: LayerName | None = None
    surface: SurfaceKind = SurfaceKind.UNKNOWN
    vertical_datum: str = ""
    horizontal_uncertainty_m: float | None = None
    vertical_uncertainty_m: float | None = None


@attrs.frozen(eq=False)
class Added:
    """A layer that was added, its entry in set.json, and the source of the one it replaced ('': none).

    `said` tells where dates in its files overrule what was stated.
    """

    layer: LayerName
    entry: Mapping[str, Any]
    quality: Quality
    replaced: str = ""
    said: str = ""


def create_set(folder: Path, identity: Identity) -> None:
    """Make an empty chart set.

    Raises
    ------
    OutputError
        If there is one already, or the folder can't be written.
    """
    with locked(folder):
        for name in (FILE_NAME, CHARTS_NAME):
            if (folder / name).exists():
                raise OutputError(f"has a {name} already", where=str(folder), remedy="choose another folder")
        jurisdiction: Document = {"code": identity.jurisdiction, "name": identity.jurisdiction_name}
        document: Document = {
            "schema": SCHEMA,
            "id": identity.id,
            "title": identity.title,
            "invented": False,
            "jurisdiction": jurisdiction,
            "layers": {},
            "terrain": [],
        }
        if identity.area is not None:
            jurisdiction["area"] = kept_outline(document, identity.area)
        commit_record(folder, document)


@contextmanager
def made_for(folder: Path, identity: Identity | None) -> Iterator[None]:
    """Make a set for what comes into it, if it is new; if nothing comes, leave none behind."""
    if identity is not None:
        create_set(folder, identity)
    try:
        yield
    except BaseException:
        if identity is not None:
            (folder / FILE_NAME).unlink(missing_ok=True)
        raise


def add_files(
    folder: Path, paths: Sequence[Path], statement: Statement, progress: Progress | None = None
) -> tuple[Added, ...]:
    """Add files to a chart set; each layer in them replaces the one that was there.

    Files of one layer given together become that layer together.

    Parameters
    ----------
    folder : Path
        The set.
    paths : sequence of Path
        Publishers' files and rasters of terrain.
    statement : Statement
        What is stated about all of them.
    progress : Progress, optional
        Told how far it is; it may stop the work, and then the set is as it was.

    Raises
    ------
    ChartError
        If a file can't be used.
    OutputError
        If the set can't be written.
    """
    progress = progress or Unwatched()
    with locked(folder):
        document = set_document(folder)
        rasters, layers = watched(lambda told: _read(folder, paths, statement, told), progress)
        imported = datetime.now(UTC).replace(microsecond=0).isoformat()
        changed = {**document, "layers": dict(document.get("layers", {}))}
        added = [_added(changed, layer, statement, imported) for layer in layers]
        copies: list[Document] = []
        try:
            for path in rasters:
                if copies:
                    progress.report(_IMPORT_SHARE)
                copies.append(_raster_entry(folder, changed, path, statement, imported))
            added.extend(_with_terrain(changed, entry, copies) for entry in copies)
            progress.report(_IMPORT_SHARE)
            if layers:
                commit_layers(folder, changed, _writer(layers, progress), [one.layer.value for one in layers])
            else:
                commit_record(folder, changed)
        except BaseException:
            remove_unlisted(folder, _rasters_of(set_document(folder)), [entry["file"] for entry in copies])
            raise
        remove_unlisted(folder, _rasters_of(changed), _rasters_of(document))
    progress.report(1.0)
    return tuple(added)


def _is_terrain(path: Path) -> bool:
    # A raster's usual ending is enough: what is wrong inside is then told of as a raster's trouble.
    return path.suffix.casefold() in RASTER_SUFFIXES or (form_of(path) is FileForm.VECTOR and is_raster(path))


def _read(
    folder: Path, paths: Sequence[Path], statement: Statement, progress: Progress
) -> tuple[list[Path], list[LayerImport]]:
    """Return which of the files are rasters, and the layers in the others; nothing is changed."""
    for path in paths:
        refuse_cut_short(path)
    rasters = [path for path in paths if _is_terrain(path)]
    others = [path for path in paths if path not in rasters]
    return rasters, _imports(folder, others, statement, progress)


def _imports(
    folder: Path, paths: Sequence[Path], statement: Statement, progress: Progress
) -> list[LayerImport]:
    found: dict[LayerName, list[LayerImport]] = {}
    for number, path in enumerate(paths):
        part = _Share(progress, number * _IMPORT_SHARE / len(paths), _IMPORT_SHARE / len(paths))
        stadiums = _stadiums(folder) if statement.layer is LayerName.STADIUM_EVENTS else None
        for layer in read_layers(path, part, statement.layer, stadiums):
            found.setdefault(layer.layer, []).append(layer)
    return [_not_without_reason_empty(joined(parts)) for parts in found.values()]


# Of these the publisher's list may have nothing on it; of all others that comes from a query that failed.
_MAY_BE_EMPTY: Final = frozenset({LayerName.TEMPORARY, LayerName.STADIUM_EVENTS, LayerName.SECURITY})


def _not_without_reason_empty(layer: LayerImport) -> LayerImport:
    if not len(layer) and layer.layer not in _MAY_BE_EMPTY:
        raise ChartError(
            f"holds nothing of {layer.layer.value}: a query that failed gives such a file",
            where=" + ".join(layer.sources),
            remedy="fetch it again",
        )
    return layer


@attrs.frozen(eq=False)
class _Share:
    """Progress of a part of the work."""

    whole: Progress
    begin: float
    share: float

    def report(self, share: float) -> None:
        self.whole.report(min(self.begin + self.share * share, 1.0))


def _stadiums(folder: Path) -> Table | None:
    path = folder / CHARTS_NAME
    if not path.is_file() or LayerName.STADIUMS.value not in table_names(path):
        return None
    return read_table(path, LayerName.STADIUMS.value, reaching(None, LayerName.STADIUMS))


def _writer(layers: Sequence[LayerImport], progress: Progress) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        for number, layer in enumerate(layers):
            if layer.holds == AS_PUBLISHED:
                write_rows(path, layer.layer, layer.columns)
            else:
                write_features(path, layer.layer, layer.holds, layer.columns)
            progress.report(_IMPORT_SHARE + (1 - _IMPORT_SHARE) * (number + 1) / len(layers))
        _check_counts(path, layers)

    return write


def _check_counts(path: Path, layers: Sequence[LayerImport]) -> None:
    with open_charts(path) as charts:
        for layer in layers:
            if charts.count(layer.layer) != len(layer):
                raise OutputError(
                    f"{layer.layer.value} was not written whole", remedy="check the disk's room"
                )


def _added(document: Document, layer: LayerImport, statement: Statement, imported: str) -> Added:
    edition = layer.edition
    dates = _dates(layer, statement)
    source = " + ".join(layer.sources)
    entry = {
        "publisher": statement.publisher or edition.publisher,
        "source": f"{source}, {edition.note}" if edition.note else source,
        "effective": dates.effective,
        "expires": dates.expires,
        "imported": imported,
        "features": len(layer),
        "coverage": None if statement.covers is None else kept_outline(document, statement.covers),
        "quality": _quality(document, layer),
    }
    replaced = document["layers"].get(layer.layer.value, {})
    document["layers"][layer.layer.value] = entry
    return Added(layer.layer, entry, layer.quality, str(replaced.get("source", "")), dates.said)


def _dates(layer: LayerImport, statement: Statement) -> Dates:
    try:
        return dates_of(statement.effective, statement.expires, statement.cycle_days, layer.editions)
    except ChartError as error:
        raise ChartError(error.what, where=" + ".join(layer.sources), remedy=error.remedy) from None


def _quality(document: Document, layer: LayerImport) -> Document:
    found = layer.quality
    # Rows kept as published are refused anew, in their place, whenever they are read.
    area = None if layer.holds == AS_PUBLISHED else found.refused_area
    return {
        "read": found.read,
        "repaired": found.repaired,
        "refused": found.refused,
        "reasons": list(found.reasons),
        "refused_area": None if area is None else kept_outline(document, area),
    }


def _raster_entry(
    folder: Path, document: Document, path: Path, statement: Statement, imported: str
) -> Document:
    """Take a raster into the set and return its entry."""
    check_stated(statement.effective, statement.expires)
    datum = vertical_datum_of(path, statement.vertical_datum) if path.is_file() else ""
    file = taken_in(folder, path)
    outline = file.pop("outline")
    covers = statement.covers or outline
    return {
        **file,
        "publisher": statement.publisher,
        "effective": statement.effective,
        "expires": statement.expires,
        "imported": imported,
        "coverage": None if covers is None else kept_outline(document, covers),
        "surface": statement.surface.value,
        "vertical_datum": datum,
        "horizontal_uncertainty_m": statement.horizontal_uncertainty_m,
        "vertical_uncertainty_m": statement.vertical_uncertainty_m,
    }


def _with_terrain(document: Document, entry: Document, together: Sequence[Document]) -> Added:
    """Put a raster into the record; those given with it stay beside it, whatever their names."""
    given = {other["file"] for other in together} - {entry["file"]}
    old = document.get("terrain", [])
    kept = [other for other in old if other.get("file") in given or not in_place_of(other, entry)]
    document["terrain"] = [*kept, entry]
    return Added(LayerName.TERRAIN, entry, Quality(), entry["source"] if len(kept) < len(old) else "")


def _rasters_of(document: Document) -> list[str]:
    return [str(entry.get("file", "")) for entry in document.get("terrain", [])]
