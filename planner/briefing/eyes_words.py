"""Who watches the aircraft and who scans the sky, in words for the sheet."""

from planner.briefing.words import plain
from planner.plan.crew import CrewMember, Role, Task
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import role_words

_MOST_NAMES = 2
_NOT_SETTLED = "Settle who watches the aircraft and who scans the sky."

TASK_OF_ONE = {
    frozenset({Task.WATCH}): "watches the aircraft",
    frozenset({Task.SCAN}): "scans the sky",
    frozenset({Task.WATCH, Task.SCAN}): "watches and scans by turns",
}


def eyes_words(plan: Plan) -> str:
    """Return 'Wren watches the aircraft, Ash scans the sky.', or that this is open; '' without observer."""
    if not plan.crew_in(Role.OBSERVER):
        return ""
    doing = {task: [member for member in plan.crew if task in member.tasks] for task in Task}
    watching, scanning = doing[Task.WATCH], doing[Task.SCAN]
    if not watching or not scanning:
        return _NOT_SETTLED
    if watching == scanning:
        both = "watches the aircraft and scans" if len(watching) == 1 else "watch the aircraft and scan"
        return _sentence(f"{_names(watching, plan.purpose)} {both} the sky, by turns.")
    watch = "watches" if len(watching) == 1 else "watch"
    scan = "scans" if len(scanning) == 1 else "scan"
    watchers, scanners = _names(watching, plan.purpose), _names(scanning, plan.purpose)
    return _sentence(f"{watchers} {watch} the aircraft, {scanners} {scan} the sky.")


def _sentence(words: str) -> str:
    # "the" begins with a small letter only where a name is missing; names stay as they are written.
    return f"The{words[3:]}" if words.startswith("the ") else words


def _names(people: list[CrewMember], purpose: Purpose | None) -> str:
    names = [plain(one.name, 20) or f"the {role_words(one.role, purpose)}" for one in people]
    shown, more = names[:_MOST_NAMES], len(names) - _MOST_NAMES
    return " and ".join(shown) if more <= 0 else f"{', '.join(shown)} and {more} more"
