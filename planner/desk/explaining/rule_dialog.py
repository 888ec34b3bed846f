"""The rule behind one finding: plain words, source, the numbers that led here, what to do."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from planner.desk.explaining.number_words import number_lines
from planner.desk.jumps import fix_of, leads_somewhere
from planner.desk.manual.address import lead_to
from planner.desk.manual.anchors import address_of_rule
from planner.desk.manual.help_key import HelpMark, answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet
from planner.desk.saying import law, said, stretch
from planner.desk.signs import SIGN_OF_MARK, Sign
from planner.desk.stand_aside import fit_text, stand_aside
from planner.rules.finding import Finding
from planner.rules.plain_words import plain_words
from planner.wording import BASIS_WORDS, MARK_WORDS, position

_POINTER = (
    "A pointer to the text, not the text: the current rule and the authority's own word stand above it."
)

_WIDTH = 520
_HEIGHT_RULES = frozenset({"above-height-limit", "close-under-limit", "structure-allowance"})


class RuleDialog(QDialog):
    """Stays open beside the map; another finding takes its place.

    `ceiling_wanted` carries a distance along the path [m] at which to tell how
    the ceiling came about, `cure_wanted` the finding to cure.
    """

    ceiling_wanted = Signal(float)
    cure_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Why")
        answer_help(self, "findings")
        self._finding: Finding | None = None
        self._page: QWidget | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(18, 14, 18, 14)

    def show_finding(self, finding: Finding) -> None:
        """Show the rule behind a finding."""
        self._finding = finding
        lead_to(self, address_of_rule(finding.rule))
        if self._page is not None:
            self._page.hide()
            self._page.deleteLater()
        self._page = self._page_of(finding)
        self._column.addWidget(self._page)
        # A child added to what is in view takes no room until it is shown itself.
        self._page.show()
        fit_text(self, _WIDTH)
        stand_aside(self)
        self.show()
        self.raise_()

    def texts(self) -> list[str]:
        """Return every text shown, top to bottom."""
        assert self._page is not None
        return [label.text() for label in self._page.findChildren(QLabel) if label.text()]

    def _page_of(self, finding: Finding) -> QWidget:
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(5)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(Sign(SIGN_OF_MARK[finding.mark], 22, page))
        head.addWidget(_label(said(finding.title), page, "heading"), 1)
        head.addWidget(HelpMark(page), 0, Qt.AlignmentFlag.AlignTop)
        column.addLayout(head)
        standing = f"{MARK_WORDS[finding.mark].capitalize()} · {BASIS_WORDS[finding.basis]}"
        column.addWidget(_label(standing, page, "soft"))
        for heading, text in (
            ("What was found", said(finding.message)),
            ("Where", _where(finding)),
            ("What the rule says", law(plain_words(finding.rule))),
            ("Source", finding.citation),
        ):
            _add_part(column, heading, text, page)
        if finding.citation:
            column.addWidget(_label(_POINTER, page, "soft"))
        if finding.numbers:
            column.addWidget(_label("The numbers that led here", page, "field"))
            column.addLayout(_numbers(finding, page))
        _add_part(column, "What to do", _capital(said(finding.remedy)), page)
        column.addSpacing(6)
        column.addWidget(_rule(page))
        column.addLayout(self._buttons(finding, page))
        return page

    def _buttons(self, finding: Finding, page: QWidget) -> QHBoxLayout:
        row = QHBoxLayout()
        if finding.from_m is not None and finding.rule in _HEIGHT_RULES:
            at_m = finding.numbers.get("at_m", finding.from_m)
            origin = QPushButton("How the ceiling came about…", page)
            keep_quiet(origin)
            origin.clicked.connect(lambda: self.ceiling_wanted.emit(at_m))
            row.addWidget(origin)
        if leads_somewhere(finding):
            cure = QPushButton("What would fix it…" if fix_of(finding) else "Go and do it", page)
            keep_quiet(cure)
            cure.setProperty("kind", "ask")
            cure.clicked.connect(lambda: self.cure_wanted.emit(finding))
            row.addWidget(cure)
        row.addStretch(1)
        close = QPushButton("Close", page)
        close.setDefault(True)
        close.clicked.connect(self.close)
        row.addWidget(close)
        return row


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _where(finding: Finding) -> str:
    along = stretch(finding.from_m, finding.to_m)
    there = position(finding.place) if finding.place is not None else ""
    return " · ".join(part for part in (f"{along} along the path" if along else "", there) if part)


def _numbers(finding: Finding, page: QWidget) -> QGridLayout:
    grid = QGridLayout()
    grid.setHorizontalSpacing(20)
    grid.setVerticalSpacing(2)
    grid.setColumnStretch(1, 1)
    for row, (name, value) in enumerate(number_lines(finding)):
        named = _label(name, page)
        named.setWordWrap(False)
        grid.addWidget(named, row, 0)
        grid.addWidget(_label(value, page), row, 1)
    return grid


def _add_part(column: QVBoxLayout, heading: str, text: str, page: QWidget) -> None:
    if text:
        column.addSpacing(5)
        column.addWidget(_label(heading, page, "field"))
        column.addWidget(_label(text, page))


def _label(text: str, parent: QWidget, kind: str = "") -> QLabel:
    label = PlainLabel(text, parent)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    if kind:
        label.setProperty("kind", kind)
    return label


def _rule(parent: QWidget) -> QFrame:
    line = QFrame(parent)
    line.setProperty("kind", "rule")
    return line
