"""Permissions and findings in words, for paper and terminal."""

from collections.abc import Iterable
from typing import Any

from planner.briefing.words import plain
from planner.permission.need import PermissionNeed
from planner.plan.records import PermissionRecord
from planner.rules.finding import Finding
from planner.wording import (
    BASIS_WORDS,
    MARK_SIGNS,
    MARK_WORDS,
    ROUTE_WORDS,
    heights_of,
    limit_ft,
    planned_ft,
    stretch,
)

Values = dict[str, Any]


def permission_words(need: PermissionNeed, readout_error_m: float | None = None) -> tuple[str, str]:
    """Return a heading and the details of one permission.

    `readout_error_m` is how far the readout may be off [m]: so much more is asked for.
    """
    of_class = f" (Class {need.airspace_class})" if need.airspace_class else ""
    head = f"{plain(need.airspace, 60) or need.subject.value}{of_class}"
    if need.record:
        return head, "; ".join(
            [f"on record: {plain(need.references, 200)}", *map(_by_agreement, need.agreements)]
        )
    details = [ROUTE_WORDS[need.route]]
    if need.alternatives:
        details.append(f"or {'; or '.join(ROUTE_WORDS[route] for route in need.alternatives)}")
    if need.lead_time:
        details.append(f"ask ahead: {plain(need.lead_time)}")
    details += heights_of(need, planned_ft, readout_error_m)
    if need.cell_ceiling_agl_m is not None:
        details.append(f"facility map: {limit_ft(need.cell_ceiling_agl_m)}")
    if along := stretch(need.from_m, need.to_m):
        details.append(along)
    if need.shortfall:
        details.append(f"the nearest record does not cover it: {plain(need.shortfall)}")
    return head, "; ".join(details)


def _by_agreement(record: PermissionRecord) -> str:
    """Return what stands beside an agreement that is in an authorization's place."""
    paper = f"its paper: {plain(record.paper.name, 40)}" if record.paper else "no paper of it on record"
    return (
        f"{plain(record.reference, 60)} is the agreement of the fixed site {plain(record.airspace, 60)} "
        f"and no authorization; {paper}; take it along"
    )


def permission_values(need: PermissionNeed, readout_error_m: float | None) -> Values:
    """Return a permission for the template."""
    head, details = permission_words(need, readout_error_m)
    return {"head": head, "details": details, "recorded": need.recorded}


def finding_groups(findings: Iterable[Finding]) -> list[Values]:
    """Return findings for the template, those of one rule and source that follow each other together."""
    groups: list[Values] = []
    for finding in findings:
        source = plain(finding.citation, 120) or BASIS_WORDS[finding.basis]
        alike = {
            "rule": finding.rule,
            "sign": MARK_SIGNS[finding.mark],
            "mark": MARK_WORDS[finding.mark],
            "source": source,
        }
        if not groups or any(groups[-1][key] != value for key, value in alike.items()):
            groups.append({**alike, "told": []})
        groups[-1]["told"].append(
            {
                "title": plain(finding.title, 90),
                "message": plain(finding.message, 600),
                "remedy": plain(finding.remedy, 300),
                "where": stretch(finding.from_m, finding.to_m),
            }
        )
    return groups
