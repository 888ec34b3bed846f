"""Papers of aircraft and pilot: what is asked for follows from the purpose."""

from datetime import date

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.forms.moments import parse_day
from planner.desk.words import YES_NO_WORDS
from planner.errors import PlanError
from planner.plan.edits import SetPapers
from planner.plan.model import Purpose
from planner.plan.papers import Papers


class PapersSection(Section):
    """The program sees no papers: it takes the pilot's word, and reminds of dates."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__("Papers", "What goes along; the originals are what counts", parent)
        self._document = document
        self.paid = ChoiceField(
            "Paid or promotional",
            "Whether somebody pays for the flight or it promotes a business: then it is not recreational",
            YES_NO_WORDS,
        )
        self.test = ChoiceField(
            "Safety test passed",
            "49 USC 44809(a)(7): passed, and its proof goes along",
            YES_NO_WORDS,
        )
        self.certificate = TextField(
            "Remote pilot certificate", "Its number; it goes along", example="number", blank=""
        )
        self.trained = TextField(
            "Test or training on",
            "Day of the test or of the latest recurrent training; good for 24 calendar months",
            parse_day,
            example="2026-03-15",
        )
        self.registered = TextField(
            "Registered until", "Last day of the registration", parse_day, example="2028-03-15"
        )
        self.marked = ChoiceField(
            "Number marked outside", "Readable on the outside of the aircraft", YES_NO_WORDS
        )
        self.proof = ChoiceField("Proof of registration goes along", "On paper or screen", YES_NO_WORDS)
        for field in (
            self.paid, self.test, self.certificate, self.trained, self.registered, self.marked, self.proof,
        ):  # fmt: skip
            field.committed.connect(self._commit)
        self.add_row(self.certificate, self.trained)
        self.add_row(self.paid, self.test)
        self.add_row(self.registered, self.marked)
        self.add_row(self.proof)

    def refresh(self) -> None:
        """Show what is said, and only what the purpose asks for."""
        plan = self._document.plan
        papers = plan.papers or Papers()
        self.paid.show_value(papers.paid)
        self.test.show_value(papers.test_passed)
        self.certificate.show_text(papers.certificate)
        self.trained.show_text(papers.trained_on.isoformat() if papers.trained_on else "")
        self.registered.show_text(papers.registered_until.isoformat() if papers.registered_until else "")
        self.marked.show_value(papers.marked)
        self.proof.show_value(papers.proof_carried)
        part_107 = plan.purpose is Purpose.PART_107
        self.certificate.setVisible(part_107)
        self.trained.setVisible(part_107)
        self.paid.setVisible(not part_107)
        self.test.setVisible(not part_107)

    def _commit(self) -> None:
        before = self._document.plan.papers or Papers()
        papers = Papers(
            registered_until=_said(self.registered, before.registered_until),
            marked=self.marked.value(),
            proof_carried=self.proof.value(),
            test_passed=self.test.value(),
            certificate=str(self.certificate.value()),
            trained_on=_said(self.trained, before.trained_on),
            paid=self.paid.value(),
        )
        self._document.try_edit(SetPapers(None if papers == Papers() else papers))


def _said(field: TextField, before: date | None) -> date | None:
    """Return the day typed; one that can't be read is marked and leaves what was said before."""
    try:
        day: date | None = field.value()
    except PlanError:
        return before
    return day
