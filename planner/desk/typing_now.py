"""What is being typed belongs to the plan before it is saved, printed, or asked about."""

from collections.abc import Callable, Iterator
from functools import partial

from PySide6.QtWidgets import QAbstractItemView, QApplication, QWidget

from planner.desk.fields import Field, Section, TextField
from planner.desk.questions import Questions

WayTo = Callable[[], QWidget | None]


def commit_typing() -> None:
    """Commit what is typed where the focus is: a shortcut does not take the focus away."""
    focus = QApplication.focusWidget()
    owner: QWidget | None = focus
    while owner is not None:
        if isinstance(owner, Field):
            owner.commit_now()
            return
        if isinstance(owner, QAbstractItemView) and owner is not focus and focus is not None:
            # The editor of a cell commits when it loses the focus.
            owner.setFocus()
            return
        owner = owner.parentWidget()


def all_is_taken(window: QWidget, questions: Questions) -> bool:
    """Commit what is typed; where the form holds what can't be read, ask whether to go on without it.

    Whoever doesn't is led to the first such field.
    """
    # Imported here: before there is a side panel there is nothing to be asked about.
    from planner.desk.forms.plan_form import PlanForm

    commit_typing()
    unread = [
        (form, key, told, way_to)
        for form in window.findChildren(PlanForm)
        for key, section in form.sections.items()
        for told, way_to in _not_taken(section)
    ]
    if not unread or questions.go_on_without("\n".join(told for _form, _key, told, _way in unread)):
        return True
    form, key, _told_of, way_to = unread[0]
    form.wanted.emit()
    form.bring(key, way_to())
    return False


def _not_taken(section: Section) -> Iterator[tuple[str, WayTo]]:
    """Yield what a part of the form holds that is not in the plan: its words, and what finds its input."""
    from planner.desk.forms.rows_editor import RowsEditor

    for field in section.findChildren(Field):
        if field.has_trouble:
            typed = f": “{field.edit.text()}”" if isinstance(field, TextField) else ""
            yield f"{field.label.text()}{typed}", partial(section.lacking_input, field.input)
    for rows in section.findChildren(RowsEditor):
        if rows.refusal:
            yield (
                f"{rows.heading.text()}: {rows.refusal.removeprefix('× ')}",
                partial(section.lacking_input, rows.input),
            )
    if lacks := section.half_said():
        yield f"{section.heading.text()}: {lacks.removeprefix('× ')}", section.lacking_input
