"""What the pilot's page says, as values for the template."""

from typing import Any

import attrs

from planner.assessment import Assessment
from planner.briefing.never_exceed_words import NOTE as NEVER_NOTE
from planner.briefing.points_table import points_table
from planner.briefing.words import data_rows, plain
from planner.drawing.profile_picture import binding_words, profile_picture
from planner.permission.need import PermissionNeed
from planner.rules.finding import Finding
from planner.wording import (
    BASIS_WORDS,
    MARK_SIGNS,
    MARK_WORDS,
    ROUTE_WORDS,
    limit_ft,
    moment,
    planned_ft,
    position,
    stretch,
)

Values = dict[str, Any]


def back_page(assessment: Assessment, profile_width: float, profile_height: float) -> Values:
    """Return the values of page two; the profile measures that many points."""
    window = assessment.plan.window
    return {
        "profile": profile_picture(assessment, profile_width, profile_height),
        "points": [attrs.asdict(row) for row in points_table(assessment)],
        "never_note": NEVER_NOTE,
        "area": area_words(assessment),
        "permissions": [_permission(need) for need in assessment.permissions],
        "findings": [_finding(finding) for finding in assessment.findings],
        "data": [attrs.asdict(row) for row in data_rows(assessment.data)],
        "not_known": [plain(words, 160) for words in assessment.not_known],
        "recheck": [f"{plain(item.what)}: by {moment(item.at_utc, window)}" for item in assessment.recheck],
    }


def area_words(assessment: Assessment) -> str:
    """Return the lowest limit over the flying area in a sentence, '' without an area."""
    area = assessment.area
    if area is None:
        return ""
    at = f"at {position(area.place)}"
    if area.lowest_limit_amsl_m is None:
        return f"Lowest limit over the flying area: not known, {at}."
    room = ""
    if area.over_by_m is not None:
        over = area.over_by_m > 0
        room = f" Its top is {planned_ft(area.over_by_m)} above it." if over else ""
        room = room or f" Its top leaves {limit_ft(-area.over_by_m)}."
    limit = f"{limit_ft(area.lowest_limit_agl_m)} above ground ({limit_ft(area.lowest_limit_amsl_m)} AMSL)"
    binding = binding_words(area.binding, area.binding_name)
    return f"Lowest limit over the flying area: {limit} {at}, set by: {plain(binding)}.{room}"


def permission_words(need: PermissionNeed) -> tuple[str, str]:
    """Return a heading and the details of one permission."""
    of_class = f" (Class {need.airspace_class})" if need.airspace_class else ""
    head = f"{plain(need.airspace, 60) or need.subject.value}{of_class}"
    if need.record:
        return head, f"on record: {plain(need.record.reference, 60)}"
    details = [ROUTE_WORDS[need.route]]
    if need.alternatives:
        details.append(f"or {'; or '.join(ROUTE_WORDS[route] for route in need.alternatives)}")
    if need.lead_time:
        details.append(f"ask ahead: {plain(need.lead_time)}")
    if need.asked_agl_m is not None:
        details.append(f"planned up to {planned_ft(need.asked_agl_m)} above ground")
    if need.cell_ceiling_agl_m is not None:
        details.append(f"facility map: {limit_ft(need.cell_ceiling_agl_m)}")
    if along := stretch(need.from_m, need.to_m):
        details.append(along)
    if need.shortfall:
        details.append(f"the nearest record does not cover it: {plain(need.shortfall)}")
    return head, "; ".join(details)


def _permission(need: PermissionNeed) -> Values:
    head, details = permission_words(need)
    return {"head": head, "details": details, "recorded": need.recorded}


def _finding(finding: Finding) -> Values:
    return {
        "sign": MARK_SIGNS[finding.mark],
        "mark": MARK_WORDS[finding.mark],
        "title": plain(finding.title, 90),
        "message": plain(finding.message, 600),
        "remedy": plain(finding.remedy, 300),
        "where": stretch(finding.from_m, finding.to_m),
        "source": plain(finding.citation, 120) or BASIS_WORDS[finding.basis],
    }
