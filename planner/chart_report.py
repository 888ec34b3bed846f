"""What a chart set holds and how far each layer of it can be relied on: for the desk and the command line."""

from collections.abc import Iterator
from pathlib import Path

import attrs
from shapely.geometry.base import BaseGeometry

from planner.geo.window import TimeWindow
from planner.rules.data import STATE_WORDS
from planner.rules.data_status import weight_in
from planner.rules.unknowns import TABLE, Unknown, Weight
from planner.world.currency import LayerState, state_of
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.set_record import Quality, SetRecord
from planner.world.store.cutting import cut_record
from planner.world.store.rasters import raster_fault
from planner.world.store.reading import layer_damage, records_less_refused, set_record

_ABOUT_M = 1_000.0


@attrs.frozen(eq=False)
class Held:
    """One table or raster of a set: its record and what became of its features.

    `imported` and `dates` (in force from, until) are texts, as stated.
    """

    record: LayerRecord
    quality: Quality = attrs.field(factory=Quality)
    imported: str = ""
    dates: tuple[str, str] = ("", "")


@attrs.frozen(eq=False)
class LayerReport:
    """How one layer of a set stands; `record` is the one that says so."""

    layer: LayerName
    what: str
    weight: Weight
    everywhere: bool
    state: LayerState
    record: LayerRecord | None
    held: tuple[Held, ...] = ()

    @property
    def needed(self) -> bool:
        """Whether no plan becomes ready without it: it restricts, and is at hand or published everywhere."""
        return self.weight is Weight.RESTRICTING and (bool(self.held) or self.everywhere)

    @property
    def absent(self) -> bool:
        """Whether the set has nothing of it."""
        return self.state is LayerState.MISSING


@attrs.frozen(eq=False)
class SetReport:
    """A chart set, layer by layer, in the order of the table of unknowns."""

    folder: Path
    record: SetRecord
    layers: tuple[LayerReport, ...]


def set_report(folder: Path, window: TimeWindow | None, needed: BaseGeometry | None = None) -> SetReport:
    """Return what a chart set holds, judged for a window and a place.

    Parameters
    ----------
    folder : Path
        The set's folder.
    window : TimeWindow or None
        When its layers must hold; None: dates are not asked.
    needed : geometry or None
        Where they must speak (lon/lat); None: at all.

    Raises
    ------
    ChartError
        If its set.json can't be read.
    """
    record = set_record(folder)
    near = record if needed is None else cut_record(record, Extent(*needed.bounds).grown(_ABOUT_M))
    held = [
        _Judged(_with_damage(whole, why), _with_damage(cut, why))
        for whole, cut, why in zip(held_by(record), held_by(near), _damages(folder, record), strict=True)
    ]
    judged = (_judged(row.layer, row, held, window, needed) for row in TABLE if row.layer is not None)
    return SetReport(folder, record, tuple(judged))


@attrs.frozen(eq=False)
class _Judged:
    """What a set holds of one layer, and the same cut to where it must speak."""

    whole: Held
    near: Held


def _damages(folder: Path, record: SetRecord) -> Iterator[str]:
    """Yield what is wrong with each table of a set, then with each raster, in the order of `held_by`."""
    tables = layer_damage(folder, record)
    for entry in record.layers:
        yield tables.get(entry.record.name, "")
    for raster in record.terrain:
        yield raster_fault(folder, raster, read_all=True)


def _with_damage(held: Held, why: str) -> Held:
    return attrs.evolve(held, record=attrs.evolve(held.record, damage=why or held.record.damage))


def held_by(record: SetRecord) -> Iterator[Held]:
    """Yield the tables of a set, then its rasters."""
    for entry in record.layers:
        yield Held(entry.record, entry.quality, entry.imported, entry.dates)
    for raster in record.terrain:
        yield Held(raster.stated.record, imported=raster.imported, dates=raster.dates)


def layer_words(layer: LayerName) -> str:
    """Return what a layer is called: 'class airspace'."""
    return next((row.what for row in TABLE if row.layer is layer), layer.value)


def standing_words(report: LayerReport) -> str:
    """Return how a layer stands: 'is current here'."""
    record = report.record
    if report.state is LayerState.NOT_COVERING and record is not None and record.coverage is None:
        return "does not say where it is complete"
    why = f": {record.damage}" if record is not None and record.damage else ""
    return f"{STATE_WORDS[report.state]}{why}"


def consequence_words(report: LayerReport) -> str:
    """Return what follows from a layer that can't be relied on."""
    restricting = "no plan becomes ready with it"
    if not report.needed:
        restricting = "no plan where it would tell becomes ready with it"
    return {
        Weight.RESTRICTING: restricting,
        Weight.GRANTING: "it grants nothing",
        Weight.ADVISORY: "it counts as not checked",
    }[report.weight]


def source_words(record: LayerRecord) -> str:
    """Return publisher and file."""
    return f"{record.publisher or 'publisher not stated'}, {record.source or 'source not stated'}"


def bounds_words(record: LayerRecord) -> str:
    """Return where a layer is complete."""
    if record.coverage is None:
        return "coverage none: it shows what it contains, never the absence of anything else"
    west, south, east, north = record.coverage.bounds
    return f"covers within {west:.3f},{south:.3f},{east:.3f},{north:.3f}"


def count_words(held: Held) -> str:
    """Return how many features there are, and what became of those that were read."""
    record, quality = held.record, held.quality
    if record.name is LayerName.TERRAIN:
        return "raster"
    if quality.read is None:
        return f"{record.features:,} features"
    return f"{record.features:,} features ({quality_words(quality)})"


def quality_words(quality: Quality) -> str:
    """Return what became of the features of a file."""
    return f"{quality.read or 0:,} read, {quality.repaired:,} repaired, {quality.refused:,} refused"


def title_words(record: SetRecord) -> str:
    """Return what a set is called and whose rules it is for."""
    place = record.jurisdiction.name or record.jurisdiction.code
    invented = ", INVENTED" if record.jurisdiction.invented else ""
    return f"{record.id}: {record.title or 'no title'} ({place}{invented})"


def _judged(
    layer: LayerName,
    row: Unknown,
    held: list[_Judged],
    window: TimeWindow | None,
    needed: BaseGeometry | None,
) -> LayerReport:
    found = [one for one in held if one.whole.record.name is layer]
    parts = [part for one in found for part in records_less_refused(one.near.record, one.near.quality)]
    state, record = state_of(parts, needed, window, needs_dates=layer is not LayerName.TERRAIN)
    return LayerReport(
        layer=layer,
        what=layer_words(layer),
        weight=weight_in(row, state),
        everywhere=row.everywhere,
        state=state,
        record=record,
        held=tuple(one.whole for one in found),
    )
