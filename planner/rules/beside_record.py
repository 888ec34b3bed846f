"""Rule on how near the flight comes to where the record ends that opens its airspace."""

from collections.abc import Iterator, Sequence

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import Grant, grants_for
from planner.permission.routes import TOLERANCE_M
from planner.plan.records import PermissionRecord
from planner.rules.beside import BESIDE_M, FIX_M, level, nearest_on_path
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.loss_over_words import leave_rule
from planner.rules.undrawn import ways_not_drawn
from planner.rules.words import along, over_ft, room_ft
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume

_ROUNDING_M = 0.001
"""Records drawn to one line differ by roundings that must not part them."""


@attrs.frozen
class _Inside:
    """How far inside a record a part of the flight stays, in words, how far [m] and where."""

    words: str
    away_m: float
    place: Place
    along_m: float | None = None


def close_to_the_end_of_a_record(case: Case) -> Iterator[Finding]:
    """Yield what it means that the flight stays inside a record by less than anybody flies to.

    Open within what a satellite fix may be off, where what lies beyond is closed; else an act.
    """
    mapped = case.mapped
    if mapped is None:
        return
    for columns, records in _held(case):
        for column in columns:
            volume = mapped.airspace[column]
            beyond = _beyond(case, mapped, column, records)
            near = None if beyond is None else _nearest(case, mapped, volume, beyond)
            # Where it leaves what is on record, that is told.
            if near is not None and near.away_m > TOLERANCE_M:
                yield _finding(case, volume, near, records)
                break


def _held(case: Case) -> Iterator[tuple[tuple[int, ...], tuple[PermissionRecord, ...]]]:
    """Yield what the flight enters with leave on record: columns of its airspace, and the records."""
    for use in case.uses:
        if use.need.recorded:
            yield use.volumes, use.need.records
    for inquiry in inquiries(case):
        if inquiry.answers:
            yield inquiry.columns, inquiry.answers


def _beyond(
    case: Case, mapped: Mapped, column: int, records: Sequence[PermissionRecord]
) -> BaseGeometry | None:
    """Return the part of an airspace that the records don't reach, None where they hold in all of it."""
    volume = mapped.airspace[column]
    of_volume = answers_on if inquired_of(volume, case.plan.purpose) else grants_for
    grants = [grant for grant in of_volume(volume, case.plan, mapped) if grant.record in records]
    if not grants or any(not grant.columns for grant in grants):
        return None
    opened = shapely.union_all([shapely.buffer(_reach(mapped, grant), _ROUNDING_M) for grant in grants])
    beyond = shapely.difference(mapped.outlines.polygon(column), opened)
    return None if beyond.is_empty else beyond


def _reach(mapped: Mapped, grant: Grant) -> BaseGeometry:
    return shapely.intersection_all([mapped.outlines.polygon(column) for column in grant.columns])


def _nearest(case: Case, mapped: Mapped, volume: AirspaceVolume, beyond: BaseGeometry) -> _Inside | None:
    found: list[_Inside] = []
    track, samples = case.track, case.area_samples
    if track is not None and len(track) > 1:
        near = nearest_on_path(case, track, level(volume, track), beyond)
        if near is not None:
            found.append(_Inside(f"At {along(near.along_m)} the path", near.away_m, near.place, near.along_m))
    if samples is not None and case.area is not None and level(volume, samples).any():
        found += _of(mapped, "The flying area", samples.footprint, beyond)
    for way in ways_not_drawn(case, mapped):
        found += _of(mapped, f"The way {way.words}", way.line, beyond)
    return min(found, key=lambda one: round(one.away_m, 1), default=None)


def _of(mapped: Mapped, words: str, shape: BaseGeometry, beyond: BaseGeometry) -> list[_Inside]:
    nearest = shapely.shortest_line(shape, beyond)
    if nearest.length > BESIDE_M:
        return []
    x_m, y_m = np.asarray(shapely.get_coordinates(nearest))[0].tolist()
    return [_Inside(words, float(nearest.length), mapped.frame.xy_to_place(x_m, y_m))]


def _finding(
    case: Case, volume: AirspaceVolume, near: _Inside, records: Sequence[PermissionRecord]
) -> Finding:
    named = ", ".join(dict.fromkeys(record.reference for record in records))
    unknown = near.away_m < FIX_M and volume.kind in FORBIDDEN_WHILE_ACTIVE
    why = (
        "A satellite fix alone may be off by more, so nobody can say whether the flight stays within."
        if unknown
        else "No aircraft is where it is planned that exactly: flown a little to the side it is there "
        "without leave."
    )
    return Finding(
        rule="close-to-record-end",
        mark=Mark.UNKNOWN if unknown else Mark.ACT,
        basis=Basis.LAW if unknown else Basis.SAFETY,
        title=f"Close to where the record for {volume.name} ends",
        message=f"{near.words} is {room_ft(near.away_m)} inside what {named} opens of {volume.name}; beyond "
        f"that nothing opens it. {why}",
        citation=leave_rule(case, volume) if unknown else "common practice",
        remedy=f"keep {over_ft(BESIDE_M)} inside, or have the record reach farther",
        from_m=near.along_m,
        to_m=near.along_m,
        place=near.place,
        numbers={"aside_m": near.away_m},
    )


RULES = (close_to_the_end_of_a_record,)
