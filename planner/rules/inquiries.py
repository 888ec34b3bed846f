"""Airspace of which only the authority can say whether the flight may enter: as entered, as answered."""

from collections.abc import Iterable, Sequence

import attrs
import numpy as np

from planner.permission.entries import floor_amsl_m, is_active
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.matching import match_records
from planner.permission.part import Mask, Part
from planner.permission.routes import TOLERANCE_M
from planner.permission.shortfall import Flown, Held, Shortfall
from planner.plan.records import PermissionRecord
from planner.rules.case import Case
from planner.rules.flown import judged
from planner.rules.undrawn import launch_ground_m
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.airspace import AirspaceKind, AirspaceVolume


@attrs.frozen
class Inquiry:
    """One airspace that is entered; what is published in several pieces of one name and kind is one.

    `columns` are the pieces entered, `parts` what is flown in them. `answers`
    are the records that together answer for all of that, none where some is
    left open; then `fault` says where and by how much the nearest falls short.
    """

    name: str
    kind: AirspaceKind
    columns: tuple[int, ...]
    parts: tuple[Part, ...]
    answers: tuple[PermissionRecord, ...]
    fault: Shortfall


def inquiries(case: Case) -> tuple[Inquiry, ...]:
    """Return what has to be asked about, answered or not, in the order of the charts."""
    if case.mapped is None:
        return ()
    return inquiries_of(case, case.mapped, judged(case))


def inquiries_of(case: Case, mapped: Mapped, flown: Iterable[Flown]) -> tuple[Inquiry, ...]:
    """Return what some of what is flown has to be asked about."""
    pieces: dict[tuple[str, AirspaceKind], list[int]] = {}
    for column, volume in mapped.airspace.items():
        if inquired_of(volume, case.plan.purpose) and is_active(volume, case.plan.window):
            pieces.setdefault((volume.name, volume.kind), []).append(column)
    if not pieces:
        return ()
    samples = tuple(flown)
    found = (_inquiry(case, mapped, samples, named, columns) for named, columns in pieces.items())
    return tuple(inquiry for inquiry in found if inquiry is not None)


def asked_agl_m(inquiry: Inquiry) -> float | None:
    """Return the greatest planned height above ground in it [m], None if any is unknown."""
    heights = [part.asked_agl_m() for part in inquiry.parts]
    return max(heights) if np.isfinite(heights).all() else None


def _inquiry(
    case: Case, mapped: Mapped, flown: Sequence[Flown], named: tuple[str, AirspaceKind], columns: list[int]
) -> Inquiry | None:
    found = [_part(Part.of(samples, columns, mapped), mapped) for samples in flown]
    parts = tuple(part for part in found if part.by_volume)
    if not parts:
        return None
    entered = tuple(column for column in columns if any(column in part.by_volume for part in parts))
    volumes = {column: mapped.airspace[column] for column in entered}
    answers, fault = match_records(
        parts,
        {column: answers_on(volume, case.plan, mapped) for column, volume in volumes.items()},
        volumes[entered[0]],
        case.plan,
        Held(mapped, launch_ground_m(case)),
    )
    return Inquiry(*named, entered, parts, answers, fault)


def _part(part: Part, mapped: Mapped) -> Part:
    """Return a part without what lies no higher than a floor that still belongs to what is below."""
    by_volume = {
        column: above
        for column, there in part.by_volume.items()
        if (above := there & _above_floor(part, mapped.airspace[column])).any()
    }
    entered = np.zeros_like(part.entered)
    for above in by_volume.values():
        entered |= above
    return Part(part.samples, entered, by_volume)


def _above_floor(part: Part, volume: AirspaceVolume) -> Mask:
    if volume.kind is not AirspaceKind.CLASS_E_OTHER:
        return part.entered
    with np.errstate(invalid="ignore"):
        at_floor = part.samples.planned_amsl_m <= floor_amsl_m(volume, part.samples) + TOLERANCE_M
    above = part.entered & ~at_floor
    if isinstance(part.samples, Track):
        # Where the path crosses the floor there is a sample, and the stretch begins or ends with it.
        beside = np.zeros_like(above)
        beside[1:] |= above[:-1]
        beside[:-1] |= above[1:]
        above |= beside & part.entered
    return np.asarray(above)
