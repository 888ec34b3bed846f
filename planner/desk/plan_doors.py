"""Small windows about the plan as a whole: its history, and the same flight on another day."""

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDialog, QUndoView, QVBoxLayout, QWidget

from planner.desk.another_day_dialog import AnotherDayDialog
from planner.desk.commands import Commands
from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.stand_aside import stand_aside
from planner.desk.style import scaled

_HISTORY_SIZE = (320, 420)


class PlanDoors(QObject):
    """Opens them; both close with the desk."""

    def __init__(self, document: Document, commands: Commands, owner: QWidget) -> None:
        super().__init__(owner)
        self._document = document
        self._commands = commands
        self._owner = owner
        self.history: QDialog | None = None
        self.another_day: AnotherDayDialog | None = None

    def close(self) -> None:
        """Close what is open."""
        for dialog in (self.history, self.another_day):
            if dialog is not None:
                dialog.close()

    def show_history(self) -> None:
        """Show every step since the plan was opened; a click goes back, or forward, to it."""
        if self.history is None:
            self.history = _history_dialog(self._document, self._owner)
        self.history.show()
        self.history.raise_()

    def ask_another_day(self) -> None:
        """Ask for a day, and go on with the same flight on it."""
        if self._document.plan.window is None:
            self._document.message.emit("The plan has no day yet: set its time window under Plan")
            return
        dialog = AnotherDayDialog(self._document.plan, self._owner)
        self.another_day = dialog
        dialog.finished.connect(lambda _code: self._on_day(dialog))
        dialog.open()

    def _on_day(self, dialog: AnotherDayDialog) -> None:
        self.another_day = None
        then = dialog.plan_then
        if then is not None:
            self._commands.after_keeping(lambda: self._document.replace(then, None, unsaved=True))
        dialog.deleteLater()


def _history_dialog(document: Document, owner: QWidget) -> QDialog:
    dialog = QDialog(owner)
    dialog.setWindowTitle("History")
    answer_help(dialog, "the_desk#undo-and-history")
    view = QUndoView(document.undo_stack, dialog)
    view.setEmptyLabel("As opened")
    view.setAccessibleName("Steps since the plan was opened")
    view.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    column = QVBoxLayout(dialog)
    column.addWidget(view)
    dialog.resize(*(scaled(side) for side in _HISTORY_SIZE))
    stand_aside(dialog)
    return dialog
