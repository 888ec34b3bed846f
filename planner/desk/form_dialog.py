"""What all small forms in a window of their own share: a section, one line for trouble, two buttons."""

import re
from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPushButton, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.fields import Field, Section
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.reading_order import put_in_reading_order
from planner.desk.stand_aside import fit_text, stand_aside
from planner.errors import PlanError
from planner.plan.edits import Edit

_SIDE = 16
_BELOW = 12


class FormDialog(QDialog):
    """A form that is accepted as a whole; `lay_out` is called once its fields are made."""

    form: Section
    error: QLabel
    buttons: QDialogButtonBox
    keep: QPushButton

    def lay_out(
        self,
        *,
        heading: str,
        why: str,
        says: str,
        rows: Sequence[Sequence[QWidget]],
        keep: str,
        width: int,
        manual: str,
    ) -> None:
        """Put the rows under a heading and what it says; `keep` is the word on the button that accepts.

        `manual` is the page that explains the form.
        """
        self.setWindowTitle(heading)
        self._width = width
        self.form = Section(heading, why, self)
        self.form.say(says)
        self.form.explain(manual)
        answer_help(self, manual)
        for row in rows:
            self.form.add_row(*row)
        self.error = PlainLabel(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        self.error.setContentsMargins(_SIDE, 0, _SIDE, 0)
        self.buttons = QDialogButtonBox(self)
        self.buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        self.keep = QPushButton(keep, self)
        self.keep.setDefault(True)
        self.buttons.addButton(self.keep, QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.buttons.setContentsMargins(_SIDE, 0, _SIDE, _BELOW)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, _BELOW)
        for widget in (self.form, self.error, self.buttons):
            column.addWidget(widget)

    def showEvent(self, event: QShowEvent) -> None:
        """Take the room that all words and inputs need at the size of text in use."""
        super().showEvent(event)
        put_in_reading_order(self)
        fit_text(self, self._width)

    def keep_clear_of_the_map(self) -> None:
        """Come up at the right edge of the desk, as large as its words need; before it is shown."""
        fit_text(self, self._width)
        stand_aside(self)

    def complain(self, words: str) -> None:
        """Say in one line what is wrong; the form stays, and the window takes the room for it."""
        self.error.setText(f"× {words}")
        self._take_room_wanted()

    def event(self, event: QEvent) -> bool:
        """Take the room that a field's refusal needs beyond what was kept for it: no field gives way."""
        answered = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest:
            self._take_room_wanted()
        return answered

    def _take_room_wanted(self) -> None:
        layout = self.layout()
        if layout is None or not self.isVisible():
            return
        layout.activate()
        wanted = layout.totalHeightForWidth(self.width())
        if wanted > self.height():
            self.setMinimumHeight(wanted)
            self.resize(self.width(), wanted)

    def lead_to_fault(self, words: str) -> None:
        """Mark the field that a refusal speaks of, and go on typing there."""
        fields = [field for field in self.form.findChildren(Field) if not field.isHidden()]
        for means in (_refuses, _is_quoted, _is_named):
            meant = next((field for field in fields if means(field, words)), None)
            if meant is not None:
                break
        if meant is not None:
            meant.mark(invalid=True)
            meant.input.setFocus(Qt.FocusReason.OtherFocusReason)


class EditDialog(FormDialog):
    """A form that becomes one edit of the plan, `edit`."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document

    def edit(self) -> Edit:
        """Return what is typed as an edit.

        Raises
        ------
        PlanError
            If it can't be.
        """
        raise NotImplementedError

    def accept(self) -> None:
        """Put it into the plan, or say in one line what is wrong and stay."""
        try:
            edit = self.edit()
            edit.apply(self._document.plan)
        except PlanError as error:
            self.complain(error.one_line())
            self.lead_to_fault(error.one_line())
            return
        self._document.try_edit(edit)
        super().accept()


def _refuses(field: Field, words: str) -> bool:
    try:
        field.value()
    except PlanError as error:
        return error.one_line() == words
    return False


def _is_quoted(field: Field, words: str) -> bool:
    return repr(field.label.text()) in words


def _is_named(field: Field, words: str) -> bool:
    return re.search(rf"\b{re.escape(field.label.text().lower())}\b", words) is not None
