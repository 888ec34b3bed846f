"""How plans stood, by their files, kept beside the settings; what can't be read is forgotten.

The plan's file stores no verdict: one that is read from a file could be older than the data.
"""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.atomic import write_text
from planner.errors import LowlineError
from planner.remedy.compare_last import MOST_CAUSES, Cause, Standing
from planner.rules.verdict import Verdict
from planner.saying import marked

FILE_NAME = "standings.json"
MOST_PLANS = 200
_MOST_BYTES = 4_000_000
_LONGEST = 400


def standing_kept(state: Path, plan: Path) -> Standing | None:
    """Return how a plan's file stood the last time, None if that is not known."""
    return _kept(state).get(_key(plan))


def keep_standing(state: Path, plan: Path, standing: Standing) -> None:
    """Keep how a plan's file stands; the oldest make room, and a disk that refuses costs only the memory."""
    kept = _kept(state)
    kept.pop(_key(plan), None)
    newest = dict([(_key(plan), standing), *kept.items()][:MOST_PLANS])
    entries = [_entry(path, standing) for path, standing in newest.items()]
    try:
        write_text(state / FILE_NAME, json.dumps(entries, indent=1) + "\n")
    except LowlineError:
        return


def _key(plan: Path) -> str:
    return str(plan.absolute())


def _kept(state: Path) -> dict[str, Standing]:
    """Return what is kept, the newest first."""
    file = state / FILE_NAME
    try:
        if file.stat().st_size > _MOST_BYTES:
            return {}
        entries = json.loads(file.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    found = [_standing(entry) for entry in entries] if isinstance(entries, list) else []
    return dict([pair for pair in found if pair is not None][:MOST_PLANS])


def _entry(path: str, standing: Standing) -> dict[str, Any]:
    return {
        "path": path,
        "verdict": standing.verdict.value,
        "at_utc": standing.at_utc.isoformat(timespec="seconds"),
        "plan_digest": standing.plan_digest,
        "causes": [{"key": cause.key, "title": marked(cause.title)} for cause in standing.causes],
    }


def _standing(entry: Any) -> tuple[str, Standing] | None:  # noqa: ANN401
    try:
        at_utc = datetime.fromisoformat(entry["at_utc"])
        causes = tuple(
            Cause(str(cause["key"])[:_LONGEST], str(cause["title"])[:_LONGEST])
            for cause in entry["causes"][:MOST_CAUSES]
        )
        digest = str(entry["plan_digest"])[:_LONGEST]
        standing = Standing(Verdict(entry["verdict"]), at_utc, causes, digest)
        return (str(entry["path"]), standing) if at_utc.tzinfo is not None else None
    except (KeyError, TypeError, ValueError):
        return None
