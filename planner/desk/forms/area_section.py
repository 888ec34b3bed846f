"""How high the flying area reaches."""

from PySide6.QtWidgets import QPushButton, QWidget

from planner.desk.document import Document
from planner.desk.drawing_hand import FIRST_HEIGHT_M
from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.forms.place_field import CornersField
from planner.desk.plain_label import PlainLabel
from planner.desk.quantities import HEIGHT, LENGTHS, parse, words
from planner.errors import PlanError
from planner.geo.heights import AboveGround, height_of, reference_of
from planner.plan.edits import RemoveArea, ReplaceArea, SetAreaTop

_REFERENCES = {
    "above-ground": "above ground, following it",
    "above-launch": "above launch, level",
    "above-sea-level": "above sea level, level",
}


class AreaSection(Section):
    """The top of the area; without one it only bounds the path on the map."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Flying area", "With a top, the whole volume is judged: every place in it, up to the top", parent
        )
        self._document = document
        self.corners = CornersField(
            "Corners",
            "Latitude first, degrees, in any usual form, parted by semicolons; three or more; empty: no area",
        )
        self.top = TextField(
            "Top",
            "Height of the area's top, {height}; empty: it only bounds the path",
            lambda text: parse(text, LENGTHS, HEIGHT, "top of the area"),
            example="100 ft",
        )
        self.reference = ChoiceField(
            "Measured", "Above ground the top follows the ground", _REFERENCES, may_be_unset=False
        )
        self.clear = QPushButton("Remove area", self)
        self.hint = PlainLabel(
            "No area yet: type its corners, or Area (A), then click them on the map.", self
        )
        self.hint.setProperty("kind", "soft")
        self.hint.setWordWrap(True)
        self.top.committed.connect(self._commit)
        self.reference.committed.connect(self._commit)
        self.clear.clicked.connect(lambda: document.try_edit(RemoveArea()))
        self.corners.committed.connect(self._commit_corners)
        self.add_row(self.corners)
        self.add_row(self.top, self.reference)
        self.add_row(self.clear)
        self.add_row(self.hint)

    def refresh(self) -> None:
        """Show the plan's area."""
        area = self._document.plan.area
        for widget in (self.top, self.reference, self.clear):
            widget.setVisible(area is not None)
        self.corners.show_corners(area.ring if area else ())
        self.hint.setVisible(area is None)
        self.blank_if_gone(area.top if area else None)
        if area is None:
            return
        self.top.show_text(
            words(area.top.m, HEIGHT, LENGTHS, 1) if area.top else "", area.top.m if area.top else None
        )
        if area.top is not None:
            self.reference.show_value(reference_of(area.top))
        self.say("" if area.top else "Without a top it only bounds the path on the map.")

    def _commit_corners(self) -> None:
        plan, corners = self._document.plan, self.corners.value()
        if corners is None:
            self._document.try_edit(RemoveArea())
            return
        alone = None if plan.path else AboveGround(FIRST_HEIGHT_M)
        edit = ReplaceArea(corners, plan.area.top if plan.area else alone)
        try:
            edit.apply(plan)
        except PlanError as error:
            self.corners.complain(error.one_line())
            return
        self._document.try_edit(edit)

    def _commit(self) -> None:
        try:
            metres = self.top.value()
            top = None if metres is None else height_of(self.reference.value(), metres)
        except PlanError as error:
            self.top.complain(error.one_line())
            return
        self._document.try_edit(SetAreaTop(top))
