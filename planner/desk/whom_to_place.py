"""Whom the next click of the crew's tool places, and the line that says so before it."""

import itertools

from PySide6.QtWidgets import QApplication

from planner.desk.document import Document
from planner.plan.crew import CrewMember, Role
from planner.plan.role_words import role_words

FORM_OF = "person"
"""The property by which a widget is known as the form of somebody: it carries their key."""
_ONE_AT_MOST = (Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS)


def form_at_hand() -> str:
    """Return the key of the person whose form is typed into, '' for nobody's."""
    widget = QApplication.focusWidget()
    while widget is not None:
        if key := widget.property(FORM_OF):
            return str(key)
        widget = widget.parentWidget()
    return ""


def whom_to_place(document: Document, role: Role, *, insists: bool, at_hand: str = "") -> CrewMember:
    """Return who has no place yet, of this role first; else who is moved, or somebody new.

    `insists` is whether the role was chosen just now: then nobody of another role is meant. Otherwise it is
    the one with the key `at_hand`, if they have no place yet.
    """
    plan = document.plan
    waiting = [member for member in plan.crew if member.place is None]
    if not insists:
        waiting.sort(key=lambda member: member.key != at_hand)
        if waiting and waiting[0].key == at_hand:
            return waiting[0]
    meant = [member for member in waiting if member.role is role] or ([] if insists else waiting)
    there = plan.crew_in(role) if role in _ONE_AT_MOST else ()
    return next(iter((*meant, *there)), None) or new_member(document, role)


def more_to_place(document: Document, role: Role, *, insists: bool) -> bool:
    """Whether a further click is meant: somebody has no place, or several of a role are set down."""
    waiting = any(member.place is None for member in document.plan.crew if not insists or member.role is role)
    return waiting or (insists and role not in _ONE_AT_MOST)


def place_line(document: Document, member: CrewMember) -> str:
    """Return what to click, by name where there is one."""
    role = role_words(member.role, document.plan.purpose)
    if member.place is not None:
        return f"Crew: click where {member.name or f'the {role}'} stands now; that moves them"
    another = member not in document.plan.crew and bool(document.plan.crew_in(member.role))
    return f"Crew: click where {member.name or (f'another {role}' if another else f'the {role}')} stands"


def new_member(document: Document, role: Role) -> CrewMember:
    """Return somebody with a key that nobody in the plan has."""
    taken = {member.key for member in document.plan.crew}
    number = next(n for n in itertools.count(1) if f"{role.value}-{n}" not in taken)
    return CrewMember(f"{role.value}-{number}", role)
