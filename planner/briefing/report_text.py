"""The assessment as plain text for a terminal, at most 100 columns wide."""

import textwrap
from collections.abc import Iterator

from planner.assessment import Assessment
from planner.briefing.briefing import stamps
from planner.briefing.front_page import heading
from planner.briefing.judgement_words import permission_words
from planner.briefing.pilot_page import area_words
from planner.briefing.sight_words import sight_lines
from planner.briefing.words import data_rows, plain
from planner.rules.finding import Finding
from planner.wording import BASIS_WORDS, CAUTIONS, MARK_SIGNS, MARK_WORDS, moment, position, stretch

_COLUMNS = 100


def report_text(assessment: Assessment) -> str:
    """Return the verdict and what it rests on, heaviest first, without a last line break."""
    sections = (
        _head(assessment),
        _section("What was found", _findings(assessment)),
        _section("What the crew sees", iter(sight_lines(assessment))),
        _section("Permissions", _permissions(assessment)),
        _section("Data", _data(assessment)),
        _section("What the verdict does not cover", (plain(words) for words in assessment.not_known)),
        _section("Look at again", _recheck(assessment)),
        _section("Cautions", iter(CAUTIONS)),
    )
    return "\n\n".join(section for section in sections if section)


def _head(assessment: Assessment) -> str:
    names = heading(assessment)
    until = moment(assessment.valid_until_utc, assessment.plan.window)
    lines = [
        *([" · ".join(stamps(assessment))] if stamps(assessment) else []),
        f"{assessment.verdict.words}. {plain(assessment.reason, 400)}",
        *([f"Good until {until}."] if assessment.valid_until_utc else []),
        f"{names['title']} · {names['when']}",
        *([area_words(assessment)] if assessment.area else []),
    ]
    return "\n".join(_wrapped(line) for line in lines)


def _section(title: str, entries: Iterator[str]) -> str:
    lines = [_wrapped(entry, "  ", "    ") for entry in entries]
    return "\n".join([title, *lines]) if lines else ""


def _findings(assessment: Assessment) -> Iterator[str]:
    for finding in assessment.findings:
        yield _finding(finding)


def _finding(finding: Finding) -> str:
    where = stretch(finding.from_m, finding.to_m)
    if not where and finding.place:
        where = position(finding.place)
    place = f", {where}" if where else ""
    remedy = f" → {plain(finding.remedy, 400)}" if finding.remedy else ""
    source = plain(finding.citation) or BASIS_WORDS[finding.basis]
    sign, mark = MARK_SIGNS[finding.mark], MARK_WORDS[finding.mark]
    return f"{sign} {plain(finding.title)} ({mark}{place}): {plain(finding.message, 600)}{remedy} [{source}]"


def _permissions(assessment: Assessment) -> Iterator[str]:
    for need in assessment.permissions:
        head, details = permission_words(need, assessment.plan.readout_error_m)
        yield f"[{'x' if need.recorded else ' '}] {head}: {details}"


def _data(assessment: Assessment) -> Iterator[str]:
    for row in data_rows(assessment.data):
        dates = f" ({row.effective} to {row.expires})" if (row.effective, row.expires) != ("–", "–") else ""
        publisher = f", {row.publisher}" if row.publisher != "–" else ""
        yield f"{row.layers}{publisher}{dates}: {row.state}"


def _recheck(assessment: Assessment) -> Iterator[str]:
    for item in assessment.recheck:
        yield f"{plain(item.what)}, by {moment(item.at_utc, assessment.plan.window)}"


def _wrapped(text: str, first: str = "", others: str = "") -> str:
    return textwrap.fill(text, _COLUMNS, initial_indent=first, subsequent_indent=others)
