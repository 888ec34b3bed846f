"""The demo flights that travel with the program, by their names."""

import json
from pathlib import Path

from planner.locate import demo_missions_dir
from planner.plan.file import PLAN_SUFFIX

_FIRST = "ridge_line"
_SAID = {
    "_part107": "Part 107",
    "_recreational": "recreational",
    "_with_agreement": "agreement on record",
    "_without_agreement": "no agreement",
}


def demo_flights() -> tuple[tuple[str, Path], ...]:
    """Return name and file of every demo flight, the plainest one first."""
    files = sorted(
        demo_missions_dir().glob(f"*{PLAN_SUFFIX}"), key=lambda file: (_stem(file) != _FIRST, file)
    )
    return tuple((_name(file), file) for file in files)


def _name(file: Path) -> str:
    try:
        name = json.loads(file.read_text("utf-8"))["lowline"]["name"]
    except (OSError, ValueError, KeyError, TypeError):
        name = ""
    plain = str(name).replace("(INVENTED)", "").strip() or _stem(file).replace("_", " ")
    # Some flights come in pairs of one name: their files tell them apart.
    said = [words for ending, words in _SAID.items() if _stem(file).endswith(ending)]
    return f"{plain} ({said[0]})" if said else plain


def _stem(file: Path) -> str:
    return file.name.removesuffix(PLAN_SUFFIX)
