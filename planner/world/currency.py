"""How far a layer can be relied on: for this place, in this window."""

from collections.abc import Collection, Iterable, Sequence
from datetime import UTC, datetime
from enum import StrEnum

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.window import TimeWindow
from planner.world.layers import SNAP_DEG, LayerName, LayerRecord


class LayerState(StrEnum):
    """How a layer stands; only OK says that what it does not show is not there."""

    OK = "ok"
    UNDATED = "undated"
    EXPIRED = "expired"
    NOT_YET_EFFECTIVE = "not-yet-effective"
    DAMAGED = "damaged"
    OTHER_JURISDICTION = "other-jurisdiction"
    NOT_COVERING = "not-covering"
    MISSING = "missing"


_BEST_FIRST = tuple(LayerState)


def records_of(records: Iterable[LayerRecord], name: LayerName) -> tuple[LayerRecord, ...]:
    """Return the records of one layer."""
    return tuple(record for record in records if record.name is name)


def state_of(
    records: Sequence[LayerRecord],
    needed: BaseGeometry | None,
    window: TimeWindow | None,
    *,
    needs_dates: bool,
    codes: Collection[str] = (),
) -> tuple[LayerState, LayerRecord | None]:
    """Return how one layer stands and the record that says so.

    Parameters
    ----------
    records : sequence of LayerRecord
        All records of that layer, in any order.
    needed : geometry or None
        Where the layer must speak (lon/lat); None: coverage is not asked for
        beyond being stated at all.
    window : TimeWindow or None
        When it must hold: the plan's own window, not now; None: not asked.
    needs_dates : bool
        Whether a record without both dates is not enough.
    codes : collection of str
        The jurisdictions by whose rules is judged; empty: not asked.

    Notes
    -----
    The best record wins, unless one is damaged there: what it would have shown
    nobody knows, and no other record can stand in for it. Records that each hold in the window may cover the
    place together; then the one that expires first is returned.
    """
    if not records:
        return LayerState.MISSING, None
    judged = [(_judge(record, needed, window, needs_dates, codes), record) for record in records]
    damaged = [record for state, record in judged if state is LayerState.DAMAGED]
    if damaged:
        return LayerState.DAMAGED, min(damaged, key=_lasting)
    state, record = min(judged, key=lambda pair: (_BEST_FIRST.index(pair[0]), *_lasting(pair[1])))
    if state is LayerState.OK or needed is None:
        return state, record
    in_date = [
        record
        for record in records
        if _holds(record, window, needs_dates) and not _of_other_rules(record, codes)
    ]
    if len(in_date) > 1 and _covers(combined_coverage(in_date), needed):
        helping = [record for record in in_date if _touches(record.reach, needed)]
        return LayerState.OK, max(helping or in_date, key=_lasting)
    return state, record


def holds_there(
    record: LayerRecord,
    needed: BaseGeometry | None,
    window: TimeWindow | None,
    *,
    needs_dates: bool = True,
    needs_coverage: bool = True,
    codes: Collection[str] = (),
) -> bool:
    """Whether what one record shows may be relied on by itself: whole, in date, and not of another place.

    It need not cover all of the place, as others may cover the rest. Parameters are those of `state_of`;
    `needs_coverage` is whether a record without any is not enough.
    """
    if not _holds(record, window, needs_dates) or _of_other_rules(record, codes):
        return False
    if record.reach is None:
        return not needs_coverage
    return needed is None or _touches(record.reach, needed)


def speaks_over(
    records: Iterable[LayerRecord], window: TimeWindow | None, *, codes: Collection[str] = ()
) -> BaseGeometry:
    """Return where the records of one layer say together what is there (lon/lat), as `state_of` judges them.

    Only records with both dates count; where one is damaged nothing is said. May be empty.
    """
    records = tuple(records)
    good = [
        record
        for record in records
        if _holds(record, window, needs_dates=True) and not _of_other_rules(record, codes)
    ]
    over: BaseGeometry = combined_coverage(good) or shapely.Polygon()
    for record in records:
        if record.damage:
            over = shapely.Polygon() if record.coverage is None else shapely.difference(over, record.coverage)
    return over


def combined_coverage(records: Iterable[LayerRecord]) -> BaseGeometry | None:
    """Return where the undamaged records speak, within their jurisdictions (lon/lat)."""
    known = [record.reach for record in records if not record.damage]
    outlines = [outline for outline in known if outline is not None]
    return shapely.union_all(outlines) if outlines else None


def _judge(
    record: LayerRecord,
    needed: BaseGeometry | None,
    window: TimeWindow | None,
    needs_dates: bool,
    codes: Collection[str],
) -> LayerState:
    if record.damage:
        there = record.coverage is None or needed is None or _touches(record.coverage, needed)
        return LayerState.DAMAGED if there else LayerState.NOT_COVERING
    if _of_other_rules(record, codes):
        return LayerState.OTHER_JURISDICTION
    if record.coverage is None:
        stale = _in_time(record, window, needs_dates=False)
        return LayerState.NOT_COVERING if stale is LayerState.OK else stale
    if needed is not None and not _covers(record.reach, needed):
        area = record.jurisdiction.area if record.jurisdiction else None
        elsewhere = area is not None and not _covers(area.buffer(SNAP_DEG), needed)
        return LayerState.OTHER_JURISDICTION if elsewhere else LayerState.NOT_COVERING
    return _in_time(record, window, needs_dates)


def _in_time(record: LayerRecord, window: TimeWindow | None, needs_dates: bool) -> LayerState:
    if window is not None:
        if record.expires_utc is not None and record.expires_utc < window.end_utc:
            return LayerState.EXPIRED
        if record.effective_utc is not None and record.effective_utc > window.start_utc:
            return LayerState.NOT_YET_EFFECTIVE
    if needs_dates and (record.effective_utc is None or record.expires_utc is None):
        return LayerState.UNDATED
    return LayerState.OK


def _holds(record: LayerRecord, window: TimeWindow | None, needs_dates: bool) -> bool:
    return not record.damage and _in_time(record, window, needs_dates) is LayerState.OK


def _of_other_rules(record: LayerRecord, codes: Collection[str]) -> bool:
    """Whether a record says that it is made for other rules; an invented place keeps those of the plan."""
    where = record.jurisdiction
    if not codes or where is None or where.invented:
        return False
    return where.code.strip().upper() not in codes


def _covers(outline: BaseGeometry | None, needed: BaseGeometry) -> bool:
    return outline is not None and not needed.is_empty and bool(outline.covers(needed))


def _touches(outline: BaseGeometry | None, needed: BaseGeometry) -> bool:
    return outline is not None and bool(outline.intersects(needed))


def _lasting(record: LayerRecord) -> tuple[float, str, str, str]:
    """Sort key: longest-lasting first, then whatever tells two records apart."""
    expires_utc = record.expires_utc or datetime.max.replace(tzinfo=UTC)
    return -expires_utc.timestamp(), record.chart_set, record.source, record.damage
