"""The way from the desk to what changed."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.questions import Questions

if TYPE_CHECKING:
    from planner.desk.commands import WorldSource
    from planner.desk.comparing.compare_dialog import CompareDialog
    from planner.desk.comparing.other_side import Against


class CompareDoor(QObject):
    """Makes the dialog when it is first wanted; `place_wanted` as it has it."""

    place_wanted = Signal(object, object, object)

    def __init__(
        self, document: Document, source: "WorldSource", questions: Questions, window: QWidget
    ) -> None:
        super().__init__(window)
        self.dialog: CompareDialog | None = None
        self._document = document
        self._source = source
        self._questions = questions
        self._desk = window

    def present(self, against: "Against | None" = None) -> None:
        """Show what changed, from what was chosen last or from what is given."""
        from planner.desk.comparing.compare_dialog import CompareDialog

        if self.dialog is None:
            self.dialog = CompareDialog(self._document, self._source, self._questions, self._desk)
            self.dialog.place_wanted.connect(self.place_wanted)
        self.dialog.present(against)

    def present_saved(self) -> None:
        """Show what differs from the plan's own file."""
        from planner.desk.comparing.other_side import Against

        self.present(Against.SAVED)

    def close(self) -> None:
        """Stop what runs in the background."""
        if self.dialog is not None:
            self.dialog.close_for_good()
