"""Rules on permissions in hand: their conditions, how long they hold, and for which place."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.geo.heights import AboveGround
from planner.permission.need import Subject
from planner.permission.needs import AirspaceUse
from planner.permission.records import in_order, in_time
from planner.permission.routes import TOLERANCE_M
from planner.plan.records import PermissionKind, PermissionRecord
from planner.rules.bibliography import FACILITY_MAP, FIXED_SITES
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import judged
from planner.rules.words import along, room_ft
from planner.track.track import Track
from planner.world.airspace import FacilityCell

_MOST_LETTERS: Final = 300


def conditions(case: Case) -> Iterator[Finding]:
    """Yield something to do for each record that holds with conditions: nobody but the crew can keep them."""
    for record in _holding(case):
        words = " ".join(record.conditions.split())
        if words:
            cut = words if len(words) <= _MOST_LETTERS else f"{words[:_MOST_LETTERS].rstrip()} …"
            yield Finding(
                rule="permission-conditions",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"Conditions of record {record.reference}",
                message=f"For {record.airspace}: “{cut}”",
                citation="the permission itself",
                remedy="read them on the paper, keep to them, and tell everybody who takes part",
            )


def without_end(case: Case) -> Iterator[Finding]:
    """Yield something to do for each record that says not until when it holds."""
    for record in _holding(case):
        if record.valid_to_utc is None:
            yield Finding(
                rule="permission-without-end",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"Record {record.reference} names no end",
                message=f"For {record.airspace} it counts as holding for ever. Most permissions end.",
                citation="the permission itself",
                remedy="look on the paper until when it holds, and enter that",
            )


def by_agreement(case: Case) -> Iterator[Finding]:
    """Yield something to do for each agreement of a fixed site that stands in for an authorization."""
    for need in case.needs:
        for record in need.agreements:
            paper = (
                f"Its paper is on record: {record.paper.name}."
                if record.paper
                else "No paper of it is on record."
            )
            yield Finding(
                rule="agreement-for-authorization",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"By agreement {record.reference}, not by an authorization",
                message=(
                    f"Nobody has authorized this flight in {need.airspace}: what permits it is the procedure "
                    f"that the fixed site {record.airspace} has agreed with the authority. It permits only "
                    f"who keeps it, and only inside the site. {paper}"
                ),
                citation=FIXED_SITES,
                remedy="take the agreement itself along, read its procedure, and ask whether it still holds",
                from_m=need.from_m,
                to_m=need.to_m,
                place=need.place,
            )


def beyond_cells(case: Case) -> Iterator[Finding]:
    """Yield something to do for each record without an outline where cells give less than its height.

    The automated service grants no more than the lowest cell touched, so such
    a record was granted for another place, or by another way.
    """
    for use in case.uses:
        for record in use.need.records:
            bounded = record.ring is not None or record.kind is not PermissionKind.AUTHORIZATION
            if bounded or use.need.subject is not Subject.AIRSPACE:
                continue
            height_m = record.ceiling.m if isinstance(record.ceiling, AboveGround) else use.need.asked_agl_m
            lower = [cell for cell in use.cells.cells if _gives_less(cell, height_m)]
            if lower or not use.cells.complete:
                yield _beyond(case, use, record, min(lower, key=_value_m) if lower else None)


def _value_m(cell: FacilityCell) -> float:
    return -1.0 if cell.ceiling_agl_m is None else cell.ceiling_agl_m


def _gives_less(cell: FacilityCell, height_m: float | None) -> bool:
    return height_m is None or cell.ceiling_agl_m is None or cell.ceiling_agl_m < height_m - TOLERANCE_M


def _beyond(case: Case, use: AirspaceUse, record: PermissionRecord, cell: FacilityCell | None) -> Finding:
    if cell is None:
        what = "part of the flight lies where no facility map cell is known"
    else:
        value = "no usable value" if cell.ceiling_agl_m is None else room_ft(cell.ceiling_agl_m)
        at_m = _first_m(case, cell)
        where = "" if at_m is None else f"at {along(at_m)} "
        what = f"{where}the flight touches a facility map cell of {value}"
    upto = f" up to {room_ft(record.ceiling.m)}" if isinstance(record.ceiling, AboveGround) else ""
    return Finding(
        rule="permission-beyond-cells",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"Was record {record.reference} granted for this place?",
        message=(
            f"It is entered for all of {use.need.airspace}{upto}, but {what}. "
            "The automated service grants no more than the lowest cell that a request touches, so for here "
            "it can only have been granted by another way."
        ),
        citation=FACILITY_MAP,
        remedy="look on the paper where it holds, and record that outline or circle in its place",
        from_m=use.need.from_m,
        to_m=use.need.to_m,
        place=use.need.place,
    )


def _first_m(case: Case, cell: FacilityCell) -> float | None:
    """Return where along the path a cell is first met [m], None if it is not."""
    columns = [column for column, known in case.mapped.cells.items() if known is cell] if case.mapped else []
    for samples in judged(case):
        for column in columns:
            inside = samples.inside_outline(column)
            if isinstance(samples, Track) and inside.any():
                return float(samples.distance_m[int(np.argmax(inside))])
    return None


def _holding(case: Case) -> Iterator[PermissionRecord]:
    return (record for record in in_order(case.plan.permissions) if in_time(record, case.plan.window))


RULES = (conditions, without_end, by_agreement, beyond_cells)
