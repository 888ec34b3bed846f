"""What is being typed belongs to the plan before it is saved, printed, or asked about."""

from PySide6.QtWidgets import QAbstractItemView, QApplication, QWidget

from planner.desk.fields import Field


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
