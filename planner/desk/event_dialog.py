"""A form for an event in a stadium: from its hours follows a restriction about it."""

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QPushButton, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.moments import parse_moment
from planner.desk.positions import parse_place
from planner.errors import PlanError
from planner.plan.edits import AddRestriction
from planner.plan.restrictions import TemporaryRestriction, around_event

_RULE = (
    "3 NM about the stadium, up to 3,000 ft above ground, from an hour before the event to an hour after it: "
    "the authority's standing notice. The current notice decides, also on which events it speaks of."
)


class EventDialog(QDialog):
    """Stadium, place, beginning and end of the event."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Event at a stadium")
        self.setMinimumWidth(460)
        self._document = document
        self.name = TextField("Event or stadium", "What it is called", blank="")
        self.place = TextField(
            "Where", "The stadium's middle, latitude first", parse_place, example="37.8121 -150.2440"
        )
        self.begin = TextField(
            "Begins (UTC)", "When the event begins", parse_moment, example="2026-11-25 20:00"
        )
        self.end = TextField("Ends (UTC)", "When the event ends", parse_moment, example="2026-11-25 23:00")
        self.form = Section("Event at a stadium", _RULE, self)
        self.form.say(_RULE)
        for row in ((self.name,), (self.place,), (self.begin, self.end)):
            self.form.add_row(*row)
        self.error = QLabel(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        self.error.setContentsMargins(16, 0, 16, 0)
        self.buttons = QDialogButtonBox(self)
        self.buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        self.keep = QPushButton("Add it", self)
        self.keep.setDefault(True)
        self.buttons.addButton(self.keep, QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.buttons.setContentsMargins(16, 0, 16, 12)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 12)
        for widget in (self.form, self.error, self.buttons):
            column.addWidget(widget)
        self.name.edit.setFocus()

    def restriction(self) -> TemporaryRestriction:
        """Return the restriction about the event.

        Raises
        ------
        PlanError
            If something is missing or can't be read.
        """
        values = [self.place.value(), self.begin.value(), self.end.value()]
        if None in values:
            raise PlanError("where it is and when it begins and ends is needed")
        place, begin, end = values
        return around_event(str(self.name.value()), place, begin, end)

    def accept(self) -> None:
        """Put its restriction into the plan, or say in one line what is wrong and stay."""
        try:
            edit = AddRestriction(self.restriction())
            edit.apply(self._document.plan)
        except PlanError as error:
            self.error.setText(f"× {error.one_line()}")
            return
        self._document.try_edit(edit)
        super().accept()
