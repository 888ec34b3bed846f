"""Who else flies at the place, and on which video channel."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.bounded import bounded, within_bounds
from planner.desk.forms.rows_editor import Row, RowsEditor
from planner.desk.quantities import FREQUENCIES, words
from planner.errors import PlanError
from planner.plan.beneath import OtherPilot
from planner.plan.bounds import FREQUENCY
from planner.plan.edits import SetOtherPilots


class PilotsEditor(RowsEditor):
    """A row a pilot."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("", "Add a pilot", parent)
        self.heading.hide()

    def make_fields(self) -> Row:
        """Return name, frequency, channel and width."""
        return {
            "name": TextField("Pilot", "How you call them; the list goes on the sheet", blank=""),
            "frequency": TextField(
                "Video frequency",
                "Middle of the channel; MHz unless you type GHz. Two on one see each other's picture",
                within_bounds("frequency", FREQUENCIES, "MHz", FREQUENCY),
                example="5800 MHz",
            ),
            "channel": TextField(
                "Channel", "As their goggles name it; for talking about it", example="R4", blank=""
            ),
            "width": TextField(
                "Width",
                "What their signal takes; MHz. Empty: as an analog picture does",
                bounded("width", FREQUENCIES, "MHz", 0.1, 1_000.0),
                example="as is usual",
            ),
        }


class PilotsSection(Section):
    """One undo step for each change of the list."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Other pilots here",
            "Their video channels are held against yours and each other; nobody powers up before all agree",
            parent,
        )
        self._document = document
        self.rows = PilotsEditor(self)
        self.rows.edited.connect(self._commit)
        self.add_row(self.rows)

    def refresh(self) -> None:
        """Show the plan's list."""
        pilots = self._document.plan.other_pilots
        self.rows.show_texts(
            [
                (
                    (pilot.name, pilot.name),
                    (words(pilot.frequency_mhz, "MHz", FREQUENCIES, 3), pilot.frequency_mhz),
                    (pilot.channel, pilot.channel),
                    (words(pilot.width_mhz, "MHz", FREQUENCIES, 3), pilot.width_mhz),
                )
                for pilot in pilots
            ]
        )
        self.say("" if pilots else "Nobody entered: other channels count as not checked.")

    def first_input(self) -> QWidget | None:
        """Return where typing begins."""
        return self.rows.rows[0]["name"].input if self.rows.rows else self.rows.add

    def _commit(self) -> None:
        pilots = []
        for row in self.rows.values():
            if not row["name"] or row["frequency"] is None:
                self.rows.complain("A pilot needs a name and the frequency of their video")
                return
            try:
                pilots.append(OtherPilot(row["name"], row["frequency"], row["width"], row["channel"]))
            except PlanError as error:
                self.rows.complain(error.one_line())
                return
        self.rows.complain("")
        self._document.try_edit(SetOtherPilots(pilots))
