"""How far one can see, and the pilot's own limits: moments behind something thin, old trials."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.bounded import within_bounds
from planner.desk.quantities import LENGTHS, SPANS, TIMES, parse, words
from planner.plan.bounds import VISIBILITY
from planner.plan.edits import SetOwnTriedDays, SetOwnUnseen, SetVisibility


class SightSection(Section):
    """Visibility, without which nothing about sight can be said, and a limit that no rule knows."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__("Sight", "How far away the aircraft can be found hangs on the visibility", parent)
        self._document = document
        self.visibility = TextField(
            "Ground visibility",
            "As forecast; statute miles unless you type km, m or ft. Part 107 wants 3 mi at least",
            within_bounds("visibility", LENGTHS, "mi", VISIBILITY),
            example="10 mi",
        )
        self.unseen = TextField(
            "Behind a mast or tree for",
            "Your own limit, 5 s at most (as LOST), printed as yours; no rule knows one. Never for ground",
            lambda text: parse(text, TIMES, "s", "own limit"),
            example="none",
        )
        self.tried = TextField(
            "Ranges tried within",
            "Older ones are said to be tried again. Your own limit; without one a year, by common practice",
            lambda text: parse(text, SPANS, "months", "own limit of trials"),
            example="a year",
        )
        self.visibility.committed.connect(lambda: document.try_edit(SetVisibility(self.visibility.value())))
        self.unseen.committed.connect(lambda: document.try_edit(SetOwnUnseen(self.unseen.value())))
        self.tried.committed.connect(lambda: document.try_edit(SetOwnTriedDays(self.tried.value())))
        self.add_row(self.visibility, self.unseen)
        self.add_row(self.tried)

    def refresh(self) -> None:
        """Show what the plan says."""
        plan = self._document.plan
        self.visibility.show_text(words(plan.visibility_m, "mi", LENGTHS, 2), plan.visibility_m)
        self.tried.show_text(words(plan.own_tried_days, "months", SPANS, 1), plan.own_tried_days)
        self.unseen.show_text(words(plan.own_unseen_s, "s", TIMES, 1), plan.own_unseen_s)
