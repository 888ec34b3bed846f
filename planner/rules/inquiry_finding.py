"""What is told of airspace of which only the authority can say whether the flight may enter."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.permission.entries import floor_amsl_m
from planner.permission.need import PermissionNeed
from planner.permission.needs import path_span
from planner.permission.part import Part
from planner.rules.asked_words import asked_numbers, readout_words, risen_words
from planner.rules.bibliography import CLASS_E_EXTENSIONS, CLASS_E_RECREATIONAL
from planner.rules.case import Case
from planner.rules.closed_words import floor_words
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.inquiries import Inquiry, asked_agl_m
from planner.rules.words import along, capitalised, over_ft, room_ft
from planner.saying import marked
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.world.airspace import NEEDS_INQUIRY, LimitReference, VerticalLimit

_OF_EXTENSIONS = (
    "Sources part on whether a Class E extension needs authorization: a memorandum says no, the "
    "manual counts extensions to the surface area. Ask the authority."
)
_OF_CLASS_E = (
    "The statute lets recreational flights into Class G to 400 ft, and with authorization into "
    "surface areas; it does not name this airspace, and the authority is said to read that as a no. "
    "Ask it, or stay under the floor."
)


_ON_THE_GROUND_M = 0.1


@attrs.frozen
class _OverFloor:
    """Where a flight is highest above a floor: by how much [m], where in words, and that floor."""

    over_m: float
    where: str
    floor: VerticalLimit
    floor_agl_m: float


def inquiry_finding(case: Case, mapped: Mapped, inquiry: Inquiry, need: PermissionNeed) -> Finding:
    """Return the open question with the figures that led to it, or the note that it is answered.

    `need` says how high has to be asked for.
    """
    extension = inquiry.kind in NEEDS_INQUIRY
    span, answers = path_span(inquiry.parts), [record.reference for record in inquiry.answers]
    highest = _over_floor(mapped, inquiry)
    short = f" {capitalised(marked(inquiry.fault.words))}." if inquiry.fault.words else ""
    figures = f"{_figures(span, highest, inquiry, need)}{readout_words(case, need)}"
    question = f"{figures}{short} {_OF_EXTENSIONS if extension else _OF_CLASS_E}"
    numbers = asked_numbers(need)
    if highest is not None:
        numbers |= {"over_floor_m": highest.over_m, "floor_agl_m": highest.floor_agl_m}
    return Finding(
        rule="class-e-extension" if extension else "class-e-recreational",
        mark=Mark.NOTE if answers else Mark.UNKNOWN,
        basis=Basis.LAW,
        title=f"Class E extension: {inquiry.name}" if extension else f"In Class E: {inquiry.name}",
        message=f"Answer on record: {', '.join(answers)}." if answers else question,
        citation=CLASS_E_EXTENSIONS if extension else CLASS_E_RECREATIONAL,
        remedy="" if answers else _remedy(highest),
        from_m=None if span is None else span[0],
        to_m=None if span is None else span[1],
        place=inquiry.parts[0].first_place(mapped),
        numbers=numbers,
    )


def _remedy(highest: _OverFloor | None) -> str:
    ask = "ask the authority, and record its answer, with the height it holds to, as an authorization"
    return (
        f"{ask}; or stay under the floor: {over_ft(highest.over_m)} lower {highest.where}" if highest else ask
    )


def _figures(
    span: tuple[float, float] | None, highest: _OverFloor | None, inquiry: Inquiry, need: PermissionNeed
) -> str:
    """Return 'From 0 m to 90 m the plan goes up to …, and at 45 m 50 ft above its floor, …'."""
    asked_m = asked_agl_m(inquiry)
    if asked_m is None:
        return "The planned height there is not known."
    if asked_m < _ON_THE_GROUND_M:
        return "Launch or landing lies in it."
    stretch = "The plan" if span is None else f"From {along(span[0])} to {along(span[1])} the plan"
    goes_up = f"{stretch} goes up to {over_ft(asked_m)} above ground there{risen_words(need)}"
    if highest is None:
        return f"{goes_up}; it begins at the ground."
    above_sea = highest.floor.reference is LimitReference.SEA_LEVEL
    on_ground = f", {room_ft(highest.floor_agl_m)} above the ground there" if above_sea else ""
    over = f"{highest.where} {over_ft(highest.over_m)} above its floor"
    return f"{goes_up}, and {over}, {floor_words(highest.floor)}{on_ground}."


def _over_floor(mapped: Mapped, inquiry: Inquiry) -> _OverFloor | None:
    """Return where the flight is highest above a floor, None where one is the ground or not known."""
    found = [one for part in inquiry.parts for one in _in_part(mapped, part)]
    if not found or not all(np.isfinite(one.over_m) for one in found):
        return None
    return max(found, key=lambda one: one.over_m)


def _in_part(mapped: Mapped, part: Part) -> Iterator[_OverFloor]:
    samples = part.samples
    for column, there in part.by_volume.items():
        volume = mapped.airspace[column]
        floor_m = floor_amsl_m(volume, samples)
        over_m = np.where(there, samples.planned_amsl_m - floor_m, -np.inf)
        if not np.isnan(over_m).any():
            k = int(np.argmax(over_m))
            where = (
                f"at {along(float(samples.distance_m[k]))}" if isinstance(samples, Track) else samples.where
            )
            floor_agl_m = float(floor_m[k] - samples.ground_amsl_m[k])
            yield _OverFloor(float(over_m[k]), where, volume.floor, floor_agl_m)
