"""Under which rules the flight takes place."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.words import PURPOSE_WORDS
from planner.plan.edits import SetPurpose
from planner.plan.model import Purpose


class PurposeSection(Section):
    """Recreational or Part 107, and for the former whose guidelines."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Purpose", "Decides which rules apply: heights, permissions and routes differ", parent
        )
        self._document = document
        self.purpose = ChoiceField(
            "Flown as",
            "Recreational flights follow 49 USC 44809, all others 14 CFR part 107",
            PURPOSE_WORDS,
        )
        self.guidelines = TextField(
            "Community guidelines followed",
            "49 USC 44809(a)(2) asks for the safety guidelines of a recognized community organization",
            example="name of the guidelines",
            blank="",
        )
        self.purpose.committed.connect(self._commit)
        self.guidelines.committed.connect(self._commit)
        self.add_row(self.purpose)
        self.add_row(self.guidelines)

    def refresh(self) -> None:
        """Show the plan's purpose."""
        plan = self._document.plan
        self.purpose.show_value(plan.purpose)
        self.guidelines.show_text(plan.guidelines)
        self.guidelines.setVisible(plan.purpose is Purpose.RECREATIONAL)

    def _commit(self) -> None:
        self._document.try_edit(SetPurpose(self.purpose.value(), str(self.guidelines.value())))
