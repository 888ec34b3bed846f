"""What is being typed belongs to the plan before it is saved, printed, or asked about."""

from PySide6.QtWidgets import QAbstractItemView, QApplication, QWidget

from planner.desk.fields import Field, TextField
from planner.desk.questions import Questions


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
        (form, key, field)
        for form in window.findChildren(PlanForm)
        for key, section in form.sections.items()
        for field in section.findChildren(Field)
        if field.has_trouble
    ]
    if not unread or questions.go_on_without("\n".join(_told(field) for _form, _key, field in unread)):
        return True
    form, key, field = unread[0]
    form.wanted.emit()
    form.bring(key, field.input)
    return False


def _told(field: Field) -> str:
    return (
        f"{field.label.text()}: “{field.edit.text()}”" if isinstance(field, TextField) else field.label.text()
    )
