"""What keeps a plan from being Ready, item by item."""

import attrs

from planner.assessment import Assessment
from planner.desk.need_card import need_title
from planner.desk.saying import said
from planner.desk.signs import ASK, STOP, UNKNOWN
from planner.permission.need import PermissionNeed
from planner.rules.finding import Mark
from planner.rules.words import capitalised
from planner.wording import ROUTE_WORDS

_SIGNS = {Mark.STOP: STOP, Mark.UNKNOWN: UNKNOWN}


@attrs.frozen
class OpenItem:
    """One stop, unknown or unrecorded permission; `key` tells it apart from others."""

    key: tuple[str, ...]
    sign: str
    title: str
    message: str
    remedy: str
    need: PermissionNeed | None = None


def open_items(answer: Assessment) -> tuple[OpenItem, ...]:
    """Return the open items, heaviest first; a permission once, not also as its finding."""
    found: dict[tuple[str, ...], OpenItem] = {}
    for finding in answer.findings:
        if finding.mark in _SIGNS:
            key: tuple[str, ...] = (finding.rule, finding.title)
            found.setdefault(
                key,
                OpenItem(
                    key,
                    _SIGNS[finding.mark],
                    said(finding.title),
                    said(finding.message),
                    said(finding.remedy),
                ),
            )
    for need in answer.permissions:
        if not need.recorded:
            key = ("permission", need.subject.value, need.airspace)
            found.setdefault(key, _of_need(key, need))
    return tuple(found.values())


def _of_need(key: tuple[str, ...], need: PermissionNeed) -> OpenItem:
    way = ROUTE_WORDS[need.route]
    lead = f" Ask ahead: {need.lead_time}." if need.lead_time else ""
    return OpenItem(
        key,
        ASK,
        f"Permission needed: {need_title(need)}",
        f"{capitalised(said(need.shortfall))}." if need.shortfall else "",
        f"{way[:1].upper()}{way[1:]}.{lead} Record the answer once you have it.",
        need,
    )
