"""What changed in the judgement: verdict, how long it holds, findings, permissions."""

import re
from collections.abc import Iterator, Sequence

from planner.assessment import Assessment
from planner.permission.need import PermissionNeed
from planner.plan.records import PermissionRecord
from planner.remedy.compare_change import Change, Kind, Side, Topic, Where, on_side, paired
from planner.remedy.compare_said import limit, moment, planned
from planner.remedy.compare_values import differences, value_words
from planner.rules.finding import Finding, Mark
from planner.saying import marked, told
from planner.wording import MARK_WORDS, ROUTE_WORDS

DECIDING = frozenset({Mark.STOP, Mark.UNKNOWN})
"""Marks that keep a plan from being ready."""
_FIGURES = re.compile(r"\d[\d.,]*")


def verdict_changes(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield whether the verdict changed, and until when it holds."""
    if before.verdict is not after.verdict:
        words = (f"{answer.verdict.words}. {marked(answer.reason)}" for answer in (before, after))
        yield Change(Topic.VERDICT, Kind.CHANGED, "verdict", "Verdict", words, weighty=True)
    ends = before.valid_until_utc, after.valid_until_utc
    if ends[0] != ends[1] and None not in ends:
        words = (moment(answer.valid_until_utc, answer.plan.window) for answer in (before, after))
        yield Change(Topic.VERDICT, Kind.CHANGED, "valid-until", "Ready until", words, weighty=True)


def finding_key(finding: Finding) -> tuple[str, str]:
    """Return by what a finding is known again: its rule, and its title without figures."""
    return finding.rule, _FIGURES.sub("#", finding.title)


def finding_changes(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield findings that appeared, are gone, weigh otherwise, or have other figures where they decide."""
    both, gone, new = paired(before.findings, after.findings, finding_key)
    by_rule, gone, new = _lone_of_rule(gone, new)
    for finding in new:
        yield _one_sided(finding, Kind.APPEARED)
    for finding in gone:
        yield _one_sided(finding, Kind.GONE)
    for old, now in (*both, *by_rule):
        yield from _other(old, now)


def _lone_of_rule(
    gone: list[Finding], new: list[Finding]
) -> tuple[list[tuple[Finding, Finding]], list[Finding], list[Finding]]:
    """Pair what is left where each side has one finding of a rule: it speaks in other words."""
    counts = [[finding.rule for finding in side] for side in (gone, new)]
    lone = {rule for rule in counts[0] if counts[0].count(rule) == 1 == counts[1].count(rule)}
    both, left, right = paired(
        [finding for finding in gone if finding.rule in lone],
        [finding for finding in new if finding.rule in lone],
        lambda finding: finding.rule,
    )
    return (
        both,
        [*left, *(finding for finding in gone if finding.rule not in lone)],
        [*right, *(finding for finding in new if finding.rule not in lone)],
    )


def _one_sided(finding: Finding, kind: Kind) -> Change:
    words = _told(finding)
    side = Side.AFTER if kind is Kind.APPEARED else Side.BEFORE
    return Change(
        Topic.FINDINGS,
        kind,
        f"finding:{finding.rule}",
        finding.title,
        on_side(kind, words),
        weighty=finding.mark in DECIDING,
        at=_where(finding, side),
    )


def _other(old: Finding, now: Finding) -> Iterator[Change]:
    key, at = f"finding:{now.rule}", _where(now, Side.AFTER)
    if old.mark is not now.mark:
        words = (_told(finding) for finding in (old, now))
        weighty = bool({old.mark, now.mark} & DECIDING)
        yield Change(Topic.FINDINGS, Kind.CHANGED, key, now.title, words, weighty=weighty, at=at)
    elif now.mark in DECIDING and (old.title, old.message) != (now.title, now.message):
        words = (f"{marked(finding.title)}. {marked(finding.message)}" for finding in (old, now))
        title = f"{marked(now.title)}: still {MARK_WORDS[now.mark]}, told otherwise"
        yield Change(Topic.FINDINGS, Kind.CHANGED, key, title, words, at=at)


def _told(finding: Finding) -> str:
    return f"{MARK_WORDS[finding.mark].capitalize()}. {marked(finding.message)}"


def _where(finding: Finding, side: Side) -> Where | None:
    if finding.place is None and finding.from_m is None:
        return None
    return Where(side, finding.place, finding.from_m, finding.to_m)


def permission_changes(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield permissions that came or went, other routes and values, and records that cover no more."""
    both, gone, new = paired(before.permissions, after.permissions, _need_key)
    for need in new:
        yield _need(Kind.APPEARED, need, ("", _standing(need)), Side.AFTER)
    for need in gone:
        yield _need(Kind.GONE, need, (_standing(need), ""), Side.BEFORE)
    for old, now in both:
        yield from _need_changed(old, now)
    yield from _records(before, after)


def _need_key(need: PermissionNeed) -> tuple[str, str, str]:
    return need.subject.value, need.airspace, need.airspace_class


def _need_changed(old: PermissionNeed, now: PermissionNeed) -> Iterator[Change]:
    standing = _standing(old), _standing(now)
    if standing[0] != standing[1]:
        yield _need(Kind.CHANGED, now, standing, Side.AFTER)
    if old.route is not now.route or old.alternatives != now.alternatives:
        yield _need(Kind.CHANGED, now, (_route(old), _route(now)), Side.AFTER, "way to ask")
    cells = [told(limit(need.cell_ceiling_agl_m)) for need in (old, now)]
    if cells[0] != cells[1]:
        yield _need(Kind.CHANGED, now, cells, Side.AFTER, "lowest facility map value")
    asked = [told(planned(need.asked_agl_m)) for need in (old, now)]
    if asked[0] != asked[1] and not now.recorded:
        yield _need(Kind.CHANGED, now, asked, Side.AFTER, "height to ask for")


def _standing(need: PermissionNeed) -> str:
    if need.record is not None:
        return f"on record: {need.references}"
    if need.shortfall:
        return f"not covered: {marked(need.shortfall)}"
    return f"to ask for: {ROUTE_WORDS[need.route]}"


def _route(need: PermissionNeed) -> str:
    return "; or ".join(ROUTE_WORDS[route] for route in (need.route, *need.alternatives))


def _need(kind: Kind, need: PermissionNeed, words: Sequence[str], side: Side, about: str = "") -> Change:
    of_class = f" (Class {need.airspace_class})" if need.airspace_class else ""
    title = f"{need.airspace or need.subject.value}{of_class}{f': {about}' if about else ''}"
    at = Where(side, need.place, need.from_m, need.to_m)
    key = f"need:{need.airspace or need.subject.value}"
    return Change(Topic.PERMISSIONS, kind, key, title, words, weighty=True, at=at)


def _records(before: Assessment, after: Assessment) -> Iterator[Change]:
    both, gone, new = paired(before.plan.permissions, after.plan.permissions, _record_key)
    for record in gone:
        yield _record(Kind.GONE, record, (value_words(record, window=before.plan.window), ""))
    for record in new:
        yield _record(Kind.APPEARED, record, ("", value_words(record, window=after.plan.window)))
    windows = before.plan.window, after.plan.window
    for old, now in both:
        for label, words in differences(old, now, "record", windows):
            yield _record(Kind.CHANGED, now, words, label.removeprefix("record"))


def _record_key(record: PermissionRecord) -> str:
    return record.reference


def _record(kind: Kind, record: PermissionRecord, words: Sequence[str], about: str = "") -> Change:
    title = f"Record {record.reference}{about}"
    return Change(Topic.PERMISSIONS, kind, f"record:{record.reference}", title, words, weighty=True)
