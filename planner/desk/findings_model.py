"""The findings as a list model: one row each, found again after every judgement."""

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from planner.desk.saying import said, stretch
from planner.rules.finding import Finding
from planner.wording import BASIS_WORDS, MARK_WORDS

Index = QModelIndex | QPersistentModelIndex
_FINDING = Qt.ItemDataRole.UserRole + 1


class FindingsModel(QAbstractListModel):
    """Findings in the order they were judged."""

    FINDING = _FINDING

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._findings: tuple[Finding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings shown."""
        return self._findings

    def show(self, findings: tuple[Finding, ...]) -> None:
        """Show other findings; rows stay where only their words changed."""
        if len(findings) == len(self._findings):
            before, self._findings = self._findings, findings
            for row, (old, new) in enumerate(zip(before, findings, strict=True)):
                if old is not new and old != new:
                    self.dataChanged.emit(self.index(row), self.index(row))
            return
        self.beginResetModel()
        self._findings = findings
        self.endResetModel()

    def say_anew(self) -> None:
        """Let all be said again, in the units in use."""
        if self._findings:
            self.dataChanged.emit(self.index(0), self.index(len(self._findings) - 1))

    def row_like(self, finding: Finding) -> int:
        """Return the row of the finding that is most like a former one, or -1."""
        same_rule = [row for row, other in enumerate(self._findings) if other.rule == finding.rule]
        same_title = [row for row in same_rule if self._findings[row].title == finding.title]
        candidates = same_title or same_rule
        if not candidates:
            return -1
        return min(candidates, key=lambda row: abs((self._findings[row].from_m or 0) - (finding.from_m or 0)))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Return the number of findings."""
        return 0 if parent.isValid() else len(self._findings)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return the finding, or its words for those who hear the screen."""
        if not index.isValid():
            return None
        finding = self._findings[index.row()]
        if role == _FINDING:
            return finding
        if role == Qt.ItemDataRole.DisplayRole:
            return said(finding.title)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            told = f"{said(finding.title)}. {said(finding.message)} {said(finding.remedy)}"
            return f"{MARK_WORDS[finding.mark]}: {told}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return f"{MARK_WORDS[finding.mark].capitalize()} · {BASIS_WORDS[finding.basis]}"
        return None


def place_line(finding: Finding) -> str:
    """Return where along the path, and by which source: '2.47 km to 2.61 km · 14 CFR 107.51(b)'."""
    return " · ".join(part for part in (stretch(finding.from_m, finding.to_m), finding.citation) if part)
