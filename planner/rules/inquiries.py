"""Airspace of which only the authority can say whether the flight may enter: as entered, as answered."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.permission.cells import TouchedCells
from planner.permission.entries import entered, floor_amsl_m, is_active
from planner.permission.inquiry import answered_amsl_m, answers_on, inquired_of
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.needs import AirspaceUse, path_span
from planner.permission.part import Part
from planner.permission.records import Grant
from planner.permission.routes import LEAD_TIMES, TOLERANCE_M
from planner.plan.records import PermissionRecord
from planner.rules.case import Case
from planner.rules.flown import flown, judged
from planner.track.mapped import Mapped
from planner.world.airspace import AirspaceKind, AirspaceVolume


@attrs.frozen
class Inquiry:
    """One airspace that is entered; what is published in several pieces of one name and kind is one.

    `columns` are the pieces entered. `answers` are the records that answer for
    all of the flight in each of them, none where one piece is left open.
    """

    name: str
    kind: AirspaceKind
    columns: tuple[int, ...]
    answers: tuple[PermissionRecord, ...]


def inquiries(case: Case) -> tuple[Inquiry, ...]:
    """Return what has to be asked about, answered or not, in the order of the charts."""
    if case.mapped is None:
        return ()
    pieces: dict[tuple[str, AirspaceKind], list[int]] = {}
    for column, volume in case.mapped.airspace.items():
        if not inquired_of(volume, case.plan.purpose) or not is_active(volume, case.plan.window):
            continue
        other_e = volume.kind is AirspaceKind.CLASS_E_OTHER
        if (_above_floor if other_e else flown)(case, column, volume):
            pieces.setdefault((volume.name, volume.kind), []).append(column)
    return tuple(
        Inquiry(name, kind, tuple(columns), _answers(case, case.mapped, columns))
        for (name, kind), columns in pieces.items()
    )


def inquiry_uses(case: Case | None) -> tuple[AirspaceUse, ...]:
    """Return the inquiries in the shape of permissions needed: to be asked for, recorded and written down.

    They count as no need of the verdict: until they are answered it can't be determined.
    """
    if case is None or case.mapped is None:
        return ()
    return tuple(_use(case, case.mapped, inquiry) for inquiry in inquiries(case))


def _use(case: Case, mapped: Mapped, inquiry: Inquiry) -> AirspaceUse:
    found = [Part.of(samples, inquiry.columns, mapped) for samples in judged(case)]
    parts = [part for part in found if part.by_volume]
    heights = [part.asked_agl_m() for part in parts]
    span = path_span(parts)
    need = PermissionNeed(
        subject=Subject.INQUIRY,
        airspace=inquiry.name,
        airspace_class="E",
        route=Route.ASK_AUTHORITY,
        asked_agl_m=max(heights) if np.isfinite(heights).all() else None,
        lead_time=LEAD_TIMES[Route.ASK_AUTHORITY],
        record=inquiry.answers[0] if inquiry.answers else None,
        beside=inquiry.answers[1:],
        from_m=None if span is None else span[0],
        to_m=None if span is None else span[1],
        place=parts[0].first_place(mapped),
    )
    return AirspaceUse(need, inquiry.columns, TouchedCells((), complete=False))


def _above_floor(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether the flight enters a volume above its floor; a floor itself still belongs to what is below."""
    for samples in judged(case):
        there = entered(volume, samples.inside_outline(column), samples)
        with np.errstate(invalid="ignore"):
            there &= ~(samples.planned_amsl_m <= floor_amsl_m(volume, samples) + TOLERANCE_M)
        if there.any():
            return True
    return False


def _answers(case: Case, mapped: Mapped, columns: list[int]) -> tuple[PermissionRecord, ...]:
    """Return the first record that answers for each piece, none where one is left open."""
    found = [next(_answers_there(case, mapped, column), None) for column in columns]
    answers = [record for record in found if record is not None]
    return tuple(dict.fromkeys(answers)) if len(answers) == len(found) else ()


def _answers_there(case: Case, mapped: Mapped, column: int) -> Iterator[PermissionRecord]:
    """Yield the records that answer for all of the flight there."""
    volume = mapped.airspace[column]
    for answer in answers_on(volume, case.plan, mapped):
        if _answers_for_all(case, answer, column, volume):
            yield answer.record


def _answers_for_all(case: Case, answer: Grant, column: int, volume: AirspaceVolume) -> bool:
    for samples in judged(case):
        there = entered(volume, samples.inside_outline(column), samples)
        allowed = answered_amsl_m(answer, samples, samples.launch_ground_amsl_m)
        with np.errstate(invalid="ignore"):
            covered = answer.covers(samples) & (samples.planned_amsl_m <= allowed + TOLERANCE_M)
        if not covered[there].all():
            return False
    return True
