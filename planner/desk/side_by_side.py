"""An observer who is said to stand beside whoever flies, put beside them."""

from typing import Final

import attrs

from planner.desk.document import Document
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import ReplaceCrew
from planner.rules.finding import Finding

SIDE_BY_SIDE: Final = frozenset({"observer-stands-apart"})
"""Rules whose cure is this step."""


def put_side_by_side(document: Document, finding: Finding) -> bool:
    """Move the observer whom a finding speaks of to whoever flies; return whether there is one."""
    plan = document.plan
    flying = plan.crew_in(Role.PERSON_AT_CONTROLS) or plan.crew_in(Role.REMOTE_PILOT)
    flyers = [one for one in flying if one.place is not None]
    observer = next((one for one in plan.crew_in(Role.OBSERVER) if _is_meant(one, finding)), None)
    if observer is None or not flyers:
        return False
    beside = flyers[0]
    if not document.try_edit(ReplaceCrew(observer.key, attrs.evolve(observer, place=beside.place))):
        return False
    document.message.emit(f"{observer.called} stands beside {beside.called} now; Undo puts them back")
    return True


def _is_meant(observer: CrewMember, finding: Finding) -> bool:
    return observer.place is not None and observer.place == finding.place and observer.called in finding.title
