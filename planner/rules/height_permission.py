"""What the records in hand say of a flight above the limit on height."""

from collections.abc import Iterator

from planner.permission.need import PermissionNeed, Subject
from planner.plan.model import Purpose
from planner.rules.airspace import because, note_recorded
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Finding

_OF_HEIGHT = (Subject.HEIGHT_LIMIT, Subject.SITE_HEIGHT)


def permitted_height(case: Case) -> Iterator[Finding]:
    """Yield a note where records cover what is flown above the limit."""
    need = height_need(case)
    if need is not None and need.recorded:
        yield note_recorded(need, height_rule(case.plan.purpose))


def height_need(case: Case) -> PermissionNeed | None:
    """Return the permission for the height, None where none is in question."""
    return next((need for need in case.needs if need.subject in _OF_HEIGHT), None)


def short_by(case: Case) -> str:
    """Return ' Record W-1 ends …' where one is on record and falls short, else ''."""
    need = height_need(case)
    return "" if need is None else because(need)


def or_permission(case: Case, *, in_site: bool) -> str:
    """Return ', or …' by which permission the height can be had; '' where by none."""
    need = height_need(case)
    if need is not None and need.falls_short is not None:
        return (
            f", or keep within record {need.falls_short.reference}, "
            "or have it changed by whoever granted it and record that"
        )
    if case.plan.purpose is Purpose.PART_107:
        return ", or record a waiver of 14 CFR 107.51"
    return ", or record the authorization of the fixed site" if in_site else ""


RULES = (permitted_height,)
