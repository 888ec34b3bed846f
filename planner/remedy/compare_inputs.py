"""What changed in the rest of the plan: who, what with, when, by which rules, what was looked up."""

from collections.abc import Iterator

import attrs

from planner.plan.model import Plan
from planner.remedy.compare_change import Change, Kind, Topic, on_side
from planner.remedy.compare_values import differences, value_words

ELSEWHERE = frozenset(
    {
        *("path", "area", "launch", "landing", "crew", "restrictions", "beneath", "figures"),
        *("permissions", "chart_sets"),
    }
)
"""Told of by what is drawn, by permissions, by data."""
NO_INTENT = frozenset({"saved_as_draft"})
"""Says how the file was written, which follows from the verdict."""


def input_changes(before: Plan, after: Plan) -> Iterator[Change]:
    """Yield what changed in every field of the plan that nothing else tells of, new fields too."""
    for field in attrs.fields(Plan):
        if field.name in ELSEWHERE | NO_INTENT:
            continue
        old, new = getattr(before, field.name), getattr(after, field.name)
        if field.name == "structures_standing":
            yield from _standing(old, new)
            continue
        for label, words in differences(old, new, field.name, (before.window, after.window)):
            title = f"{label[:1].upper()}{label[1:]}"
            yield Change(Topic.INPUTS, Kind.CHANGED, field.name.replace("_", "-"), title, words)


def _standing(old: frozenset[str], new: frozenset[str]) -> Iterator[Change]:
    said = "said to stand still"
    for name in sorted(old ^ new):
        kind = Kind.GONE if name in old else Kind.APPEARED
        title = f"Structure {value_words(name)}"
        yield Change(Topic.INPUTS, kind, f"structure:{name}", title, on_side(kind, said))
