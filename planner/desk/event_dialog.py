"""A form for an event in a stadium: from its hours follows a restriction about it."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import TextField
from planner.desk.form_dialog import EditDialog
from planner.desk.forms.moment_field import MomentField
from planner.desk.positions import parse_place
from planner.errors import PlanError
from planner.plan.edits import AddRestriction, Edit
from planner.plan.restrictions import TemporaryRestriction, around_event

_RULE = (
    "3 NM about the stadium, up to 3,000 ft above ground, from an hour before the event to an hour after it: "
    "the authority's standing notice. The current notice decides, also on which events it speaks of."
)


class EventDialog(EditDialog):
    """Stadium, place, beginning and end of the event."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.name = TextField("Event or stadium", "What it is called", example="Harbour Bowl", blank="")
        self.place = TextField(
            "Where",
            "The stadium's middle, latitude first, in any usual form",
            parse_place,
            example="37.8121 -150.2440",
        )
        window = document.plan.window
        self.begin = MomentField("Begins", "When the event begins", window)
        self.end = MomentField("Ends", "When the event ends", window, example="2026-11-25 23:00")
        self.lay_out(
            manual="windows/event",
            heading="Event at a stadium",
            why=_RULE,
            says=_RULE,
            rows=((self.name,), (self.place,), (self.begin, self.end)),
            keep="Add it",
            width=460,
        )
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

    def edit(self) -> Edit:
        """Return what is typed as an edit; see there for what it raises."""
        return AddRestriction(self.restriction())
