"""The panel at the right: findings, points, plan, permissions."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QTabWidget, QWidget

from planner.desk.document import Document
from planner.desk.findings_panel import FindingsPanel
from planner.desk.forms.plan_form import PlanForm
from planner.desk.jumps import DRAW_PATH, PERMISSIONS, POINTS, WINDOWS, cure_of, fix_of
from planner.desk.manual.address import lead_to
from planner.desk.manual.anchors import FINDINGS, address_of_rule
from planner.desk.permissions_panel import PermissionsPanel
from planner.desk.points_panel import PointsPanel
from planner.desk.side_by_side import SIDE_BY_SIDE, put_side_by_side
from planner.rules.finding import Finding

TABS = ("findings", "points", "plan", "permissions")


class SidePanel(QTabWidget):
    """Four tabs; a remedy that was clicked leads to where it can be done.

    `fix_wanted` carries the kind of change that would cure a finding, `action_wanted` the key of
    the action whose window cures it.
    """

    path_wanted = Signal()
    action_wanted = Signal(str)
    fix_wanted = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.setAccessibleName("Findings, points, plan, permissions")
        self.setDocumentMode(True)
        self.tabBar().setAccessibleName("Tabs: findings, points, plan, permissions")
        self.tabBar().setDrawBase(False)
        self.tabBar().setExpanding(False)
        self.findings = FindingsPanel(document, self)
        self.points = PointsPanel(document, self)
        self.plan = PlanForm(document, self)
        self.permissions = PermissionsPanel(document, self)
        for words, page in (
            ("Findings", self.findings),
            ("Points", self.points),
            ("Plan", self.plan),
            ("Permissions", self.permissions),
        ):
            self.addTab(page, words)
        lead_to(self.findings, FINDINGS)
        lead_to(self.points, "the_points")
        lead_to(self.permissions, "the_permissions")
        self.findings.chosen.connect(self._explain)
        self.findings.count_changed.connect(lambda count: self._count("findings", "Findings", count))
        self.permissions.count_changed.connect(lambda count: self._count("permissions", "Permissions", count))
        self.findings.remedy_wanted.connect(self.go_to_cure)
        self.plan.wanted.connect(lambda: self.go_to("plan"))
        self.permissions.land_wanted.connect(lambda: self.go_to_form("land"))
        self._count("findings", "Findings", len(self.findings.model.findings))
        self._count("permissions", "Permissions", self.permissions.open_count)

    def go_to(self, tab: str) -> None:
        """Show a tab."""
        self.setCurrentIndex(TABS.index(tab))

    def go_to_form(self, section: str) -> None:
        """Show a section of the forms."""
        self.go_to("plan")
        self.plan.jump(section)

    def go_to_cure(self, finding: Finding) -> None:
        """Show where a finding can be cured."""
        cure = cure_of(finding)
        if (fix := fix_of(finding)) is not None:
            self.fix_wanted.emit(fix)
        elif finding.rule in SIDE_BY_SIDE and put_side_by_side(self._document, finding):
            pass
        elif cure == DRAW_PATH:
            self.path_wanted.emit()
        elif cure in WINDOWS:
            self.action_wanted.emit(cure)
        elif cure == PERMISSIONS:
            self.go_to("permissions")
        elif cure == POINTS:
            self.go_to("points")
        elif cure:
            self.go_to_form(cure)

    def _explain(self, finding: Finding | None) -> None:
        lead_to(self.findings, FINDINGS if finding is None else address_of_rule(finding.rule))

    def _count(self, tab: str, words: str, count: int) -> None:
        self.setTabText(TABS.index(tab), f"{words} {count}" if count else words)
