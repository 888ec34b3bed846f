"""A publisher's file as layers ready to be stored: features as columns, and what became of each."""

import gc
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError
from planner.geo.progress import Progress
from planner.world.layers import LayerName
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.form import FileForm, form_of
from planner.world.readers.kinds import KINDS, kind_of
from planner.world.readers.moments import moment_of
from planner.world.readers.reading import Edition, FileKind, LayerPart, Reading, Refusal
from planner.world.readers.stadiums import read_events
from planner.world.readers.table import Columns, Table, read_columns, read_table, table_names
from planner.world.readers.zipped import refuse_bombs
from planner.world.set_record import Quality
from planner.world.store.columns import FeatureColumns, encoded, feature_kinds, with_keys
from planner.world.world import World

AS_PUBLISHED = ""
ROWS_AT_A_TIME = 20_000
NAMED_REFUSALS = 20

_READ_SHARE = 0.3


@attrs.frozen(eq=False)
class LayerImport:
    """One layer of one file.

    `holds` names the field of a world that the columns are features of;
    AS_PUBLISHED: they are the publisher's own attributes. `edition` is what the
    files say of themselves together, `editions` what each of them does.
    """

    layer: LayerName
    holds: str
    columns: FeatureColumns
    quality: Quality
    edition: Edition
    sources: tuple[str, ...]
    said_by_files: tuple[Edition, ...] = ()

    def __len__(self) -> int:
        """Return the number of rows."""
        if self.columns.shapes is not None:
            return len(self.columns.shapes)
        return max(map(len, self.columns.values), default=0)

    @property
    def editions(self) -> tuple[Edition, ...]:
        """What each file says of itself."""
        return self.said_by_files or (self.edition,)


def read_layers(
    path: Path, progress: Progress, layer: LayerName | None = None, stadiums: Table | None = None
) -> tuple[LayerImport, ...]:
    """Return the layers of a file.

    Parameters
    ----------
    path : Path
        Any file that charts are published in.
    progress : Progress
        Told how far it is.
    layer : LayerName, optional
        What the file is, where its attributes don't tell.
    stadiums : Table, optional
        The stadiums that events may name.

    Raises
    ------
    ChartError
        If the file can't be read, or none of its features can be used.
    """
    with _collector_paused():
        return _read_layers(path, progress, layer, stadiums)


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Spare the collector of circles the many passes over millions of texts, of which none is in a circle."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


def _read_layers(
    path: Path, progress: Progress, layer: LayerName | None, stadiums: Table | None
) -> tuple[LayerImport, ...]:
    if layer is LayerName.STADIUM_EVENTS:
        return (_events(path, stadiums),)
    if form_of(path) is FileForm.VECTOR:
        refuse_bombs(path)
        whole = _whole_tables(path, progress, layer)
        if whole is not None:
            return whole
    parts = read_chart_file(path, layer=layer, progress=_Part(progress, 0.0, 0.9))
    progress.report(0.9)
    return tuple(_import_of_part(path, part) for part in parts)


def joined(imports: Sequence[LayerImport]) -> LayerImport:
    """Return one layer of several files.

    What they say of themselves holds where all agree: the latest beginning,
    the earliest end, and none where one does not say.

    Raises
    ------
    ChartError
        If they can't stand in one table.
    """
    first = imports[0]
    if len(imports) == 1:
        return first
    if len({part.holds for part in imports}) > 1 or first.holds == AS_PUBLISHED:
        raise ChartError(
            f"the files of {first.layer.value} are of different kinds and can't become one layer",
            remedy="add them one by one, or join them before",
        )
    publishers = {part.edition.publisher for part in imports}
    areas = [part.quality.refused_area for part in imports if part.quality.refused]
    return LayerImport(
        layer=first.layer,
        holds=first.holds,
        columns=_stacked([part.columns for part in imports]),
        quality=Quality(
            read=sum(part.quality.read or 0 for part in imports),
            repaired=sum(part.quality.repaired for part in imports),
            refused=sum(part.quality.refused for part in imports),
            reasons=tuple(why for part in imports for why in part.quality.reasons)[:NAMED_REFUSALS],
            refused_area=_union(areas),
        ),
        edition=Edition(
            publisher=publishers.pop() if len(publishers) == 1 else "",
            effective_utc=_if_all([part.edition.effective_utc for part in imports], max),
            expires_utc=_if_all([part.edition.expires_utc for part in imports], min),
            note="; ".join(dict.fromkeys(part.edition.note for part in imports if part.edition.note)),
        ),
        sources=tuple(name for part in imports for name in part.sources),
        said_by_files=tuple(edition for part in imports for edition in part.editions),
    )


def _if_all(moments: Sequence[datetime | None], choose: Any) -> datetime | None:  # noqa: ANN401
    known = [moment for moment in moments if moment is not None]
    chosen: datetime | None = choose(known) if len(known) == len(moments) else None
    return chosen


def _union(areas: Sequence[BaseGeometry | None]) -> BaseGeometry | None:
    known = [area for area in areas if area is not None]
    return shapely.union_all(known) if known and len(known) == len(areas) else None


def _events(path: Path, stadiums: Table | None) -> LayerImport:
    names = table_names(path)
    if len(names) != 1:
        raise ChartError("has several tables", where=str(path), remedy="give a file of the events alone")
    table = read_table(path, names[0])
    part = LayerPart(LayerName.STADIUM_EVENTS, table, read_events(stadiums, table))
    return _import_of_part(path, part)


def _whole_tables(path: Path, progress: Progress, layer: LayerName | None) -> tuple[LayerImport, ...] | None:
    """Return the layers of a file whose tables are each of a kind of features, None for any other.

    Rows are made of some thousands at a time, so that a whole country's file
    does not stand in memory as features.
    """
    names = table_names(path)
    imports = []
    for number, name in enumerate(names):
        columns = read_columns(path, name)
        kind = _kind(columns, layer)
        if kind is None or kind.layer is LayerName.STADIUMS or columns.shapes is None or not len(columns):
            return None
        part = _Part(progress, number / len(names), 1 / len(names))
        part.report(_READ_SHARE)
        imports.append(_import_of_columns(path, kind, columns, part))
    return tuple(imports) if imports else None


@attrs.frozen(eq=False)
class _Part:
    """Progress of one part of the work."""

    whole: Progress
    begin: float
    share: float

    def report(self, share: float) -> None:
        self.whole.report(self.begin + self.share * share)


def _kind(columns: Columns, layer: LayerName | None) -> FileKind | None:
    names = frozenset(columns.names)
    if layer is not None:
        return KINDS.get(layer)
    by_name = next((kind for known, kind in KINDS.items() if known == columns.name), None)
    return by_name if by_name and not by_name.missing_from(names) else kind_of(names)


def _import_of_columns(path: Path, kind: FileKind, columns: Columns, progress: Progress) -> LayerImport:
    pieces: list[FeatureColumns] = []
    refusals: list[Refusal] = []
    holds = AS_PUBLISHED
    for first in range(0, len(columns), ROWS_AT_A_TIME):
        reading = kind.read(columns.keyless(first, first + ROWS_AT_A_TIME))
        refusals.extend(reading.refusals)
        found = _contents(reading.content)
        if len(found) == 1:
            ((holds, features),) = found.items()
            pieces.append(with_keys(encoded(feature_kinds()[holds], features)))
        progress.report(_READ_SHARE + (1 - _READ_SHARE) * (first + ROWS_AT_A_TIME) / len(columns))
    if not pieces:
        table = columns.table()
        return _as_published(path, LayerPart(kind.layer, table, Reading(World(), tuple(refusals))))
    edition = _edition(kind.layer, columns)
    quality = _quality(len(columns), columns.mended, refusals)
    return LayerImport(kind.layer, holds, _stacked(pieces), quality, edition, (path.name,))


def _import_of_part(path: Path, part: LayerPart) -> LayerImport:
    found = _contents(part.reading.content)
    if len(found) != 1 or part.layer in {LayerName.STADIUMS, LayerName.STADIUM_EVENTS}:
        return _as_published(path, part)
    ((holds, features),) = found.items()
    quality = _quality(part.table.total, 0, part.reading.refusals)
    columns = encoded(feature_kinds()[holds], features)
    return LayerImport(part.layer, holds, columns, quality, part.edition, (path.name,))


def _contents(world: World) -> Mapping[str, Sequence[attrs.AttrsInstance]]:
    return {name: found for name in feature_kinds() if (found := getattr(world, name))}


def _as_published(path: Path, part: LayerPart) -> LayerImport:
    """Keep rows as they are, texts all: read again they give the same features and the same refusals."""
    rows, refusals = part.table.rows, part.reading.refusals
    if rows and len(refusals) == len(rows):
        raise ChartError(
            f"none of its {len(rows)} features can be used ({refusals[0].why})",
            where=str(path),
            remedy="fetch it again, or export it with the publisher's own attributes",
        )
    names = tuple(sorted(part.table.columns - {"FID", "GEOM"}))
    values = tuple(_objects([row.text(name) or None for row in rows]) for name in names)
    with_shapes = any(row.shape is not None for row in rows)
    shapes = shapely.to_wkb(_objects([row.shape for row in rows])) if with_shapes else None
    quality = _quality(part.table.total, 0, refusals)
    columns = FeatureColumns(names, values, shapes)
    return LayerImport(part.layer, AS_PUBLISHED, columns, quality, part.edition, (path.name,))


def _quality(read: int, repaired: int, refusals: Sequence[Refusal]) -> Quality:
    shapes = [refusal.shape for refusal in refusals if refusal.shape is not None]
    placed = bool(shapes) and len(shapes) == len(refusals)
    return Quality(
        read=read,
        repaired=repaired,
        refused=len(refusals),
        reasons=tuple(refusal.why for refusal in refusals[:NAMED_REFUSALS]),
        refused_area=_area_of(shapes) if placed else None,
    )


def _area_of(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return the places of refused features as polygons: points and lines become a metre wide."""
    area = shapely.union_all([shape.buffer(1e-5) for shape in shapes])
    return area.intersection(shapely.box(-180.0, -90.0, 180.0, 90.0))


def _edition(layer: LayerName, columns: Columns) -> Edition:
    """Return what the facility map says of its own date: it holds as it is since the latest change."""
    if layer is not LayerName.FACILITY_MAP or "MAP_EFF" not in columns.names:
        return Edition()
    values = columns.fields[columns.names.index("MAP_EFF")]
    dates = sorted({str(value) for value in values.tolist() if value})
    moments = [moment_of(date, end_of_day=True) for date in dates]
    return Edition(
        effective_utc=_if_all(moments, max) if moments else None, note=f"MAP_EFF {', '.join(dates[:12])}"
    )


def _stacked(pieces: Sequence[FeatureColumns]) -> FeatureColumns:
    if len(pieces) == 1:
        return pieces[0]
    shapes = [piece.shapes for piece in pieces if piece.shapes is not None]
    return FeatureColumns(
        pieces[0].names,
        tuple(np.concatenate(columns) for columns in zip(*(piece.values for piece in pieces), strict=True)),
        np.concatenate(shapes) if shapes else None,
    )


def _objects(values: Sequence[object]) -> Any:  # noqa: ANN401
    found = np.empty(len(values), dtype=object)
    found[:] = values
    return found
