"""A comparison in words, written once for desk and terminal."""

from typing import Final

from planner.assessment import Assessment
from planner.remedy.compare import Comparison
from planner.remedy.compare_change import Change, Kind, Topic, Where
from planner.saying import AS_IT_COMES, Units, said
from planner.wording import position, stretch

TOPIC_WORDS: Final = {
    Topic.VERDICT: "Verdict",
    Topic.FINDINGS: "Findings",
    Topic.PERMISSIONS: "Permissions",
    Topic.CEILING: "Ceiling",
    Topic.GEOMETRY: "What is drawn",
    Topic.INPUTS: "What is said",
    Topic.DATA: "Data",
}
KIND_WORDS: Final = {Kind.APPEARED: "new", Kind.GONE: "gone", Kind.CHANGED: "changed"}
NOTHING: Final = "Nothing changed, from the verdict to the data."
LIGHT: Final = "Neither the verdict, nor what decides it, nor a permission changed."


def state_words(change: Change, units: Units = AS_IT_COMES) -> str:
    """Return how it stood and stands: 'before → after', or the one that is there."""
    before, after = said(change.before, units), said(change.after, units)
    if change.kind is Kind.CHANGED:
        return f"{before or '–'} → {after or '–'}"
    return before or after


def change_words(change: Change, units: Units = AS_IT_COMES) -> str:
    """Return a change on one line."""
    title = said(change.title, units)
    head = title if change.kind is Kind.CHANGED else f"{KIND_WORDS[change.kind]}: {title}"
    state, where = state_words(change, units), place_words(change.at, units)
    return f"{head}: {state}{f' ({where})' if where else ''}" if state else head


def place_words(at: Where | None, units: Units = AS_IT_COMES) -> str:
    """Return where to look, '' if nowhere: the stretch of the path, else the position."""
    if at is None:
        return ""
    return stretch(at.from_m, at.to_m, units) or (position(at.place) if at.place else "")


def verdict_words(answer: Assessment, units: Units = AS_IT_COMES) -> str:
    """Return a verdict with its main cause."""
    return f"{answer.verdict.words}. {said(answer.reason, units)}"


def summary_words(comparison: Comparison) -> str:
    """Return in one sentence how much changed."""
    if not comparison.changes:
        return NOTHING
    if not comparison.weighty:
        return LIGHT
    count = len(comparison.weighty)
    things = "1 change concerns" if count == 1 else f"{count} changes concern"
    return f"{things} the verdict, what decides it, or a permission."
