"""A comparison in words, written once for desk and terminal."""

from typing import Final

from planner.assessment import Assessment
from planner.remedy.compare import Comparison
from planner.remedy.compare_change import Change, Kind, Topic, Where
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


def state_words(change: Change) -> str:
    """Return how it stood and stands: 'before → after', or the one that is there."""
    if change.kind is Kind.CHANGED:
        return f"{change.before or '–'} → {change.after or '–'}"
    return change.before or change.after


def change_words(change: Change) -> str:
    """Return a change on one line."""
    head = change.title if change.kind is Kind.CHANGED else f"{KIND_WORDS[change.kind]}: {change.title}"
    state, where = state_words(change), place_words(change.at)
    return f"{head}: {state}{f' ({where})' if where else ''}" if state else head


def place_words(at: Where | None) -> str:
    """Return where to look, '' if nowhere: the stretch of the path, else the position."""
    if at is None:
        return ""
    return stretch(at.from_m, at.to_m) or (position(at.place) if at.place else "")


def verdict_words(answer: Assessment) -> str:
    """Return a verdict with its main cause."""
    return f"{answer.verdict.words}. {answer.reason}"


def summary_words(comparison: Comparison) -> str:
    """Return in one sentence how much changed."""
    if not comparison.changes:
        return NOTHING
    if not comparison.weighty:
        return LIGHT
    count = len(comparison.weighty)
    things = "1 change concerns" if count == 1 else f"{count} changes concern"
    return f"{things} the verdict, what decides it, or a permission."
