"""Rule on how near the flight comes to where the record ends that opens its airspace."""

from collections.abc import Iterator, Sequence

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.permission.at_edge import counts_from_ground, level_beside
from planner.permission.besides import BESIDE_M
from planner.permission.entries import Mask, level
from planner.permission.routes import TOLERANCE_M
from planner.plan.records import PermissionRecord
from planner.rules.beside import FIX_M, nearest_on_path
from planner.rules.beside_area import nearest_of_area
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import inquiries
from planner.rules.loss_over_words import leave_rule
from planner.rules.opened import Opened, opened_of
from planner.rules.undrawn import ways_not_drawn
from planner.rules.words import along, over_ft, room_ft
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples, Samples
from planner.track.way_samples import sample_way
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume


@attrs.frozen
class Inside:
    """How far inside a record a part of the flight stays, in words, how far [m] and where.

    `outside`: it is not in the airspace at all there, but beside a part of it that no record opens.
    """

    words: str
    away_m: float
    place: Place
    along_m: float | None = None
    outside: bool = False


def close_to_the_end_of_a_record(case: Case) -> Iterator[Finding]:
    """Yield what it means that the flight stays inside a record by less than anybody flies to.

    Open within what a satellite fix may be off, where what lies beyond is closed; else an act.
    """
    mapped = case.mapped
    if mapped is None:
        return
    for columns, records in held_on_record(case):
        for column in columns:
            near = nearest_inside(case, mapped, opened_of(case, mapped, column))
            # Where it leaves what is on record, that is told.
            if near is not None and near.away_m > TOLERANCE_M:
                yield close_to_end(case, mapped.airspace[column], _seen(near, mapped, column), records)
                break


def held_on_record(case: Case) -> Iterator[tuple[tuple[int, ...], tuple[PermissionRecord, ...]]]:
    """Yield what the flight enters with leave on record: columns of its airspace, and the records."""
    for use in case.uses:
        if use.need.recorded:
            yield use.volumes, use.need.records
    for inquiry in inquiries(case):
        if inquiry.answers:
            yield inquiry.columns, inquiry.answers


def nearest_inside(case: Case, mapped: Mapped, opened: Opened) -> Inside | None:
    """Return where the flight itself comes nearest to the end of what is open, None if not close."""
    volume, samples = mapped.airspace[opened.column], case.area_samples
    found = list(_of_path(case, volume, opened))
    if samples is not None and case.area is not None:
        found += _of_area(mapped, samples, volume, opened)
    for way in ways_not_drawn(case, mapped):
        flown = sample_way(mapped, way.places(way.shares), way.planned_amsl_m)
        beyond = opened.beyond(opened.all_along(flown))
        if beyond is None:
            continue
        if level(volume, flown).any() or level_beside(mapped, flown, volume, beyond, BESIDE_M).any():
            found += _of(mapped, f"The way {way.words} is", way.line, beyond)
    return min(found, key=lambda one: round(one.away_m, 1), default=None)


def _seen(near: Inside, mapped: Mapped, column: int) -> Inside:
    here = shapely.Point(mapped.frame.place_to_xy(near.place))
    apart_m = float(shapely.distance(here, mapped.outlines.polygon(column)))
    return attrs.evolve(near, outside=apart_m > TOLERANCE_M)


def _of_path(case: Case, volume: AirspaceVolume, opened: Opened) -> Iterator[Inside]:
    """Yield, for each part of the path at heights that the same records allow, where it comes nearest."""
    track, mapped = case.track, case.mapped
    if track is None or mapped is None or len(track) < 2:
        return
    allowed = opened.high_enough(track)
    for counts in np.unique(allowed[:, _may_be_level(volume, track)], axis=1).T:
        beyond = opened.beyond(counts)
        if beyond is None:
            continue
        there = level_beside(mapped, track, volume, beyond, BESIDE_M)
        holds = there & (allowed == counts[:, None]).all(axis=0)
        # A piece to where others count is flown in part as high.
        holds |= there & (np.append(holds[1:], False) | np.insert(holds[:-1], 0, False))
        if (near := nearest_on_path(case, track, holds, beyond)) is not None:
            yield Inside(f"At {along(near.along_m)} the path is", near.away_m, near.place, near.along_m)


def _of_area(
    mapped: Mapped, samples: AreaSamples, volume: AirspaceVolume, opened: Opened
) -> Iterator[Inside]:
    """Yield, for each part of the area at heights that the same records allow, where it comes nearest."""
    allowed = opened.high_enough(samples)
    for counts in np.unique(allowed[:, _may_be_level(volume, samples)], axis=1).T:
        beyond, among = opened.beyond(counts), (allowed == counts[:, None]).all(axis=0)
        near = None if beyond is None else nearest_of_area(mapped, samples, volume, beyond, BESIDE_M, among)
        # Samples lie on the very edge of records as well; what is outside of them is told elsewhere.
        if near is not None and near.away_m > TOLERANCE_M:
            place = mapped.frame.xy_to_place(near.x_m, near.y_m)
            yield Inside("The flying area is", near.away_m, place)


def _may_be_level(volume: AirspaceVolume, samples: Samples) -> Mask:
    """Return which samples may be at its heights where a record ends, over whatever ground."""
    return (
        np.ones(len(samples.planned_amsl_m), bool) if counts_from_ground(volume) else level(volume, samples)
    )


def _of(mapped: Mapped, words: str, shape: BaseGeometry, beyond: BaseGeometry | None) -> list[Inside]:
    if beyond is None:
        return []
    nearest = shapely.shortest_line(shape, beyond)
    if nearest.length > BESIDE_M:
        return []
    x_m, y_m = np.asarray(shapely.get_coordinates(nearest))[0].tolist()
    return [Inside(words, float(nearest.length), mapped.frame.xy_to_place(x_m, y_m))]


def leaves_open(volume: AirspaceVolume, near: Inside) -> bool:
    """Whether nobody can say if what is so near the end stays where that is open."""
    return near.away_m < FIX_M and volume.kind in FORBIDDEN_WHILE_ACTIVE


def close_to_end(
    case: Case, volume: AirspaceVolume, near: Inside, records: Sequence[PermissionRecord]
) -> Finding:
    """Return the finding that a part of the flight stays so far inside what some records open."""
    named = ", ".join(dict.fromkeys(record.reference for record in records))
    unknown = leaves_open(volume, near)
    why = (
        "A satellite fix alone may be off by more, so nobody can say whether it stays where that is open."
        if unknown
        else "No aircraft is where it is planned that exactly: flown a little to the side it is there "
        "without leave."
    )
    where = (
        f"beside a part of {volume.name} that {named} does not open."
        if near.outside
        else f"inside what {named} opens of {volume.name}; beyond that nothing opens it at that height."
    )
    return at_end(
        near,
        f"the record for {volume.name}",
        f"{where} {why}",
        remedy=f"keep {over_ft(BESIDE_M)} inside, or have the record reach farther",
        law=leave_rule(case, volume) if unknown else None,
    )


def at_end(near: Inside, record: str, message: str, *, remedy: str, law: str | None = None) -> Finding:
    """Return the finding that a part of the flight is so near a record's end: open by a law, else an act."""
    return Finding(
        rule="close-to-record-end",
        mark=Mark.ACT if law is None else Mark.UNKNOWN,
        basis=Basis.SAFETY if law is None else Basis.LAW,
        title=f"Close to where {record} ends",
        message=f"{near.words} {room_ft(near.away_m)} {message}",
        citation="common practice" if law is None else law,
        remedy=remedy,
        from_m=near.along_m,
        to_m=near.along_m,
        place=near.place,
        numbers={"aside_m": near.away_m},
    )


RULES = (close_to_the_end_of_a_record,)
