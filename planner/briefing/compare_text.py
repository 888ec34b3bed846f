"""A comparison as plain text for a terminal, at most 100 columns wide, and as JSON."""

import textwrap
from collections.abc import Iterator
from typing import Any

from planner.assessment import Assessment
from planner.briefing.check_json import moment_text
from planner.briefing.words import plain
from planner.remedy.compare import Comparison
from planner.remedy.compare_change import Change, Topic
from planner.remedy.compare_words import TOPIC_WORDS, change_words, summary_words, verdict_words
from planner.wording import INVENTED_STAMP

SCHEMA_VERSION = 1
_COLUMNS = 100
_LETTERS = 700

Json = dict[str, Any]


def compare_text(comparison: Comparison, before: str, after: str) -> str:
    """Return what changed, what matters most first; `before` and `after` say what was compared."""
    sections = (
        _head(comparison, before, after),
        *(_topic(comparison, topic) for topic in Topic),
        _section("Not compared", (f"{plain(line, _LETTERS)}." for line in comparison.not_compared)),
    )
    return "\n\n".join(section for section in sections if section)


def compare_json(comparison: Comparison, before: str, after: str) -> Json:
    """Return a comparison as values for the `json` module; a contract: `resources/compare.schema.json`."""
    return {
        "schema": SCHEMA_VERSION,
        "before": _side(comparison.before, before),
        "after": _side(comparison.after, after),
        "verdict_or_permissions_changed": bool(comparison.weighty),
        "changes": [_change(change) for change in comparison.changes],
        "not_compared": list(comparison.not_compared),
    }


def _head(comparison: Comparison, before: str, after: str) -> str:
    sides = ((before, comparison.before), (after, comparison.after))
    invented = any(answer.world.invented for _, answer in sides)
    lines = [
        *([INVENTED_STAMP] if invented else []),
        *(
            f"{name} {plain(label)}: {plain(verdict_words(answer), 400)}"
            for name, (label, answer) in zip(("Before,", "After,"), sides, strict=True)
        ),
        summary_words(comparison),
    ]
    return "\n".join(textwrap.fill(line, _COLUMNS) for line in lines)


def _topic(comparison: Comparison, topic: Topic) -> str:
    there = (change for change in comparison.changes if change.topic is topic)
    return _section(TOPIC_WORDS[topic], (plain(change_words(change), _LETTERS) for change in there))


def _section(title: str, entries: Iterator[str]) -> str:
    lines = [
        textwrap.fill(entry, _COLUMNS, initial_indent="  ", subsequent_indent="    ") for entry in entries
    ]
    return "\n".join([title, *lines]) if lines else ""


def _side(answer: Assessment, label: str) -> Json:
    return {
        "label": label,
        "verdict": answer.verdict.value,
        "reason": answer.reason,
        "valid_until": moment_text(answer.valid_until_utc),
        "invented": answer.world.invented,
    }


def _change(change: Change) -> Json:
    at = change.at
    return {
        "topic": change.topic.value,
        "kind": change.kind.value,
        "key": change.key,
        "title": change.title,
        "before": change.before,
        "after": change.after,
        "weighty": change.weighty,
        "side": at.side.value if at else None,
        "lon": at.place.lon_deg if at and at.place else None,
        "lat": at.place.lat_deg if at and at.place else None,
        "from_m": at.from_m if at else None,
        "to_m": at.to_m if at else None,
        "numbers": dict(change.numbers),
    }
