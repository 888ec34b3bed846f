"""The plan's name."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.plan.edits import SetName


class NameSection(Section):
    """How the plan is called on the desk and on paper."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__("Name", "How the plan is called on the desk and on paper", parent)
        self._document = document
        self.name = TextField(
            "Name", "Shown in the title and on the briefing", example="Ridge, evening", blank=""
        )
        self.name.committed.connect(lambda: document.try_edit(SetName(str(self.name.value()))))
        self.add_row(self.name)

    def refresh(self) -> None:
        """Show the plan's name."""
        self.name.show_text(self._document.plan.name)
