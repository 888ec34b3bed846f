"""Small windows about the plan as a whole: its history, others to open, the same flight on another day."""

from collections.abc import Sequence

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QDialog, QUndoView, QVBoxLayout, QWidget

from planner.desk.another_day_dialog import AnotherDayDialog
from planner.desk.begin.choose_dialog import Choice, ChooseDialog, choices_of
from planner.desk.begin.demos import demo_flights
from planner.desk.begin.recents import recent_plans
from planner.desk.commands import Commands
from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.stand_aside import stand_aside
from planner.desk.state_dir import state_dir
from planner.desk.style import scaled

_HISTORY_SIZE = (320, 420)
_RECENT = "The latest first. A plan whose file is gone is not listed."
_NONE_YET = "None yet: a plan is listed here once it has been saved or opened."
_DEMOS = (
    "They take place on an invented island; everything about it is made up. A changed one is saved elsewhere."
)


class PlanDoors(QObject):
    """Opens them; all close with the desk."""

    def __init__(self, document: Document, commands: Commands, owner: QWidget) -> None:
        super().__init__(owner)
        self._document = document
        self._commands = commands
        self._owner = owner
        self.history: QDialog | None = None
        self.another_day: AnotherDayDialog | None = None
        self.choosing: ChooseDialog | None = None

    def close(self) -> None:
        """Close what is open."""
        for dialog in (self.history, self.another_day, self.choosing):
            if dialog is not None:
                dialog.close()

    def show_history(self) -> None:
        """Show every step since the plan was opened; a click goes back, or forward, to it."""
        if self.history is None:
            self.history = _history_dialog(self._document, self._owner)
        self.history.show()
        self.history.raise_()

    def show_recent(self) -> None:
        """Offer the plans worked on last."""
        recents = recent_plans(state_dir())
        self._choose("Recent plans", _RECENT if recents else _NONE_YET, choices_of(recents))

    def show_demos(self) -> None:
        """Offer the demo flights."""
        flights = tuple(Choice(name, path) for name, path in demo_flights())
        self._choose("Demo flights", _DEMOS, flights)

    def _choose(self, title: str, words: str, choices: Sequence[Choice]) -> None:
        dialog = ChooseDialog(title, words, choices, self._owner)
        self.choosing = dialog
        dialog.finished.connect(lambda _code: self._on_chosen(dialog))
        dialog.open()

    def _on_chosen(self, dialog: ChooseDialog) -> None:
        self.choosing = None
        chosen = dialog.chosen
        dialog.deleteLater()
        if chosen is not None:
            self._commands.after_keeping(lambda: self._commands.open_path(chosen))

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
