"""The plans worked on last, kept beside the settings; a list that can't be read begins anew."""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import attrs

from planner.atomic import write_text
from planner.desk.saying import happened
from planner.errors import LowlineError

_FILE = "recent_plans.json"
_MOST = 12


@attrs.frozen
class RecentPlan:
    """A plan's file, what it was called, whether it was a draft, and when it was last worked on."""

    path: Path
    name: str
    draft: bool
    at_utc: datetime


def recent_words(recent: RecentPlan) -> str:
    """Return what tells a plan from others of its name: 'two.lowline.geojson · Sun 29 Nov 2026, …'."""
    return f"{recent.path.name} · {when_words(recent)}"


def when_words(recent: RecentPlan) -> str:
    """Return when a plan was worked on last, and whether it was a draft then."""
    return f"{happened(recent.at_utc)}{' · DRAFT' if recent.draft else ''}"


def recent_plans(state: Path) -> tuple[RecentPlan, ...]:
    """Return the plans whose files are still there, the latest first."""
    return tuple(recent for recent in _kept(state) if recent.path.is_file())


def remember(state: Path, path: Path, name: str, *, draft: bool) -> None:
    """Put a plan at the head of the list; a disk that refuses it costs nothing but the memory."""
    now = RecentPlan(path.absolute(), name, draft, datetime.now(UTC))
    kept = [recent for recent in _kept(state) if recent.path != now.path]
    entries = [
        {
            "path": str(recent.path),
            "name": recent.name,
            "draft": recent.draft,
            "at_utc": recent.at_utc.isoformat(timespec="seconds"),
        }
        for recent in [now, *kept][:_MOST]
    ]
    try:
        write_text(state / _FILE, json.dumps(entries, indent=1) + "\n")
    except LowlineError:
        return


def _kept(state: Path) -> list[RecentPlan]:
    try:
        entries = json.loads((state / _FILE).read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return []
    found = [_recent(entry) for entry in entries] if isinstance(entries, list) else []
    return [recent for recent in found if recent is not None][:_MOST]


def _recent(entry: Any) -> RecentPlan | None:  # noqa: ANN401
    try:
        at = datetime.fromisoformat(entry["at_utc"])
        recent = RecentPlan(Path(entry["path"]), str(entry["name"]), entry["draft"] is True, at)
    except (KeyError, TypeError, ValueError):
        return None
    return recent if at.tzinfo is not None and recent.path.is_absolute() else None
