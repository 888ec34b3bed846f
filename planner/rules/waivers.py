"""Rules on waivers in hand: what can't be waived, what is read and lifts nothing here."""

from collections.abc import Iterator
from typing import Final

from planner.permission.records import in_order, in_time
from planner.permission.shortfall import NO_SHORTFALL, Shortfall
from planner.permission.time_fault import time_fault
from planner.permission.waivers import WAIVABLE, Waived, named
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.rules.bibliography import WAIVERS
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.papers import names_part_89
from planner.rules.waiver_reach import leaves_waiver
from planner.rules.words import capitalised

COUNTED: Final = frozenset({"107.25", "107.29", "107.31", "107.39", "107.51", "107.145"})
"""Sections of which a waiver on record lifts what is judged here."""
_OF_AIRSPACE: Final = "107.41"
"""Controlled airspace by its authorization: what opens it is held against place, height and time."""
_OF_HEIGHT: Final = Waived("107.51", "(b)")


def waivers(case: Case) -> Iterator[Finding]:
    """Yield what each waiver on record does not do, in the records' order."""
    for record in in_order(case.plan.permissions):
        if record.kind is not PermissionKind.WAIVER or names_part_89(record):
            continue
        if case.plan.purpose is Purpose.RECREATIONAL:
            yield _finding(
                record, "waiver-recreational", Mark.NOTE, "A waiver lifts nothing of a recreational flight",
                "Only rules of Part 107 can be waived, and this flight is not flown by them.",
            )  # fmt: skip
            continue
        sections = tuple(named(record))
        if not sections:
            yield _finding(
                record, "waiver-not-read", Mark.ACT, "The waiver names no section",
                f"“{record.airspace}” is not the number of a section of part 107, so nothing is lifted.",
                "enter the sections as the waiver names them, such as 14 CFR 107.51(b)",
            )  # fmt: skip
        for one in sections:
            yield from _about(record, one)
        yield from _out_of_time(case, record)
        yield from _falls_short(case, record)


def _out_of_time(case: Case, record: PermissionRecord) -> Iterator[Finding]:
    window = case.plan.window
    if window is not None and not in_time(record, window):
        fault = time_fault(record, window)
        yield Finding(
            rule="waiver-not-in-time",
            mark=Mark.NOTE,
            basis=Basis.LAW,
            title="The waiver does not hold for the whole flight",
            message=f"{fault[0].upper()}{fault[1:]}. It lifts nothing of this flight.",
            citation=WAIVERS,
            remedy="fly within its time, or have it extended and record that",
        )


def waiver_shortfall(case: Case, record: PermissionRecord) -> Shortfall:
    """Return where and by how much the flight leaves a waiver on record; without words if it does not.

    Of a waiver of the height limit alone that is told as of other records: by its need.
    """
    counted = {one for one in named(record) if one.can_be and one.section in COUNTED}
    if case.plan.purpose is Purpose.RECREATIONAL or not counted - {_OF_HEIGHT}:
        return NO_SHORTFALL
    return leaves_waiver(case, record)


def _falls_short(case: Case, record: PermissionRecord) -> Iterator[Finding]:
    short = waiver_shortfall(case, record)
    if short.record is not None:
        yield Finding(
            rule="waiver-falls-short",
            mark=Mark.NOTE,
            basis=Basis.LAW,
            title="The waiver does not cover the whole flight",
            message=f"{capitalised(short.words)}. It lifts nothing of what binds all of the "
            "flight, and the rule on people beneath only where it covers the path over them.",
            citation=WAIVERS,
            remedy="keep the flight in its outline and under its height, or have it extended and record that",
        )


def _about(record: PermissionRecord, one: Waived) -> Iterator[Finding]:
    name = f"14 CFR {one.section}{one.paragraph}"
    if not one.can_be:
        yield _finding(
            record, "waiver-not-possible", Mark.ACT, f"{name} can't be waived",
            f"It is not on the list of what can be: {_listed()}. The record lifts nothing.",
            "read the waiver again, enter the sections that it names, and keep to this one",
        )  # fmt: skip
    elif one.section == _OF_AIRSPACE:
        yield _finding(
            record, "waiver-not-counted", Mark.ACT, f"A waiver of {name} opens no airspace from here",
            "What opens an airspace is held against where, how high and when: it is recorded by the name of "
            "that airspace, not by the section.",
            "record it as the authorization of that airspace, with the outline, the height and the times "
            "that it gives",
        )  # fmt: skip
    elif one.section not in COUNTED:
        yield _finding(
            record, "waiver-not-counted", Mark.NOTE, f"The waiver of {name} is not counted here",
            "It can be waived, but what this program judges does not become lighter by it. "
            "Keep to the waiver's conditions.",
        )  # fmt: skip


def _listed() -> str:
    return ", ".join(
        f"{section}{' and '.join(paragraphs)}".replace("107.", ".", 1) if number else f"14 CFR {section}"
        for number, (section, paragraphs) in enumerate(WAIVABLE.items())
    )


def _finding(
    record: PermissionRecord, rule: str, mark: Mark, title: str, message: str, remedy: str = ""
) -> Finding:
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.LAW,
        title=title,
        message=f"Record {record.reference}: {message}",
        citation=WAIVERS,
        remedy=remedy,
    )


RULES = (waivers,)
