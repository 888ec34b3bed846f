"""The way from the desk to the reasons: the rule behind a finding, the steps behind a ceiling."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.saying import distance
from planner.geo.place import Place
from planner.rules.finding import Finding

if TYPE_CHECKING:
    from planner.desk.explaining.ceiling_dialog import CeilingDialog
    from planner.desk.explaining.rule_dialog import RuleDialog


class ExplainDoor(QObject):
    """Makes both dialogs when they are first wanted; `cure_wanted` carries a finding to cure."""

    cure_wanted = Signal(object)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self.rule: RuleDialog | None = None
        self.ceiling: CeilingDialog | None = None
        self._document = document
        self._desk = window

    def show_rule(self, finding: Finding) -> None:
        """Show the rule behind a finding."""
        from planner.desk.explaining.rule_dialog import RuleDialog

        if self.rule is None:
            self.rule = RuleDialog(self._desk)
            self.rule.ceiling_wanted.connect(self.show_ceiling)
            self.rule.cure_wanted.connect(self.cure_wanted)
        self.rule.show_finding(finding)

    def show_ceiling(self, distance_m: float) -> None:
        """Show how the ceiling came about at a distance along the path [m]."""
        from planner.ceiling.derivation import derive_along

        answer = self._document.assessment
        if answer.scene is None or answer.track is None:
            return
        derivation = derive_along(answer.scene, answer.track, distance_m)
        self._ceiling().show_derivation(derivation, f"{distance(distance_m)} along the path")

    def show_ceiling_at(self, place: Place) -> None:
        """Show how the ceiling over a place came about, flown from the ground up."""
        from planner.ceiling.derivation import derive_at

        scene = self._document.assessment.scene
        if scene is not None:
            self._ceiling().show_derivation(derive_at(scene, place), "Flown from the ground up")

    def _ceiling(self) -> "CeilingDialog":
        from planner.desk.explaining.ceiling_dialog import CeilingDialog

        if self.ceiling is None:
            self.ceiling = CeilingDialog(self._desk)
        return self.ceiling
