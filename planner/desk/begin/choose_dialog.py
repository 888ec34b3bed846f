"""A list of plans to open: those worked on last, or the demo flights."""

from collections.abc import Sequence
from pathlib import Path

import attrs
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.desk.begin.recents import RecentPlan, when_words
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.style import scaled

_SIZE, _WIDEST = (800, 440), 560
_AROUND, _BESIDE = 44, 80
"""What stands about the list, and what stays free beside the window on its screen [px]."""


@attrs.frozen
class Choice:
    """A plan that can be opened: its name, its file, and when it was worked on, if that is known."""

    name: str
    path: Path
    when: str = ""


def choices_of(recents: Sequence[RecentPlan]) -> tuple[Choice, ...]:
    """Return the plans worked on last, with their files and when that was."""
    return tuple(Choice(recent.name, recent.path, when_words(recent)) for recent in recents)


class ChooseDialog(QDialog):
    """`chosen` is the file that was chosen, None while none is."""

    def __init__(
        self, title: str, words: str, choices: Sequence[Choice], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.chosen: Path | None = None
        self.setWindowTitle(title)
        answer_help(self, "the_desk#beginning")
        head = PlainLabel(title, self)
        head.setProperty("kind", "heading")
        told = PlainLabel(words, self)
        told.setProperty("kind", "soft")
        told.setWordWrap(True)
        self.list = QTreeWidget(self)
        self.list.setAccessibleName(title)
        self.list.setHeaderLabels(["Plan", "File", "Worked on"])
        self.list.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.list.setRootIsDecorated(False)
        for choice in choices:
            row = QTreeWidgetItem([choice.name, choice.path.name, choice.when])
            row.setData(0, Qt.ItemDataRole.UserRole, choice.path)
            row.setToolTip(0, choice.name)
            row.setToolTip(1, str(choice.path))
            self.list.addTopLevelItem(row)
        self.list.itemActivated.connect(lambda _item: self.accept())
        buttons = QDialogButtonBox(self)
        self.open_button = buttons.addButton("Open", QDialogButtonBox.ButtonRole.AcceptRole)
        self.open_button.setDefault(True)
        self.open_button.setEnabled(bool(choices))
        buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        for widget in (head, told):
            column.addWidget(widget)
        column.addWidget(self.list, 1)
        column.addWidget(buttons)
        self.resize(*(scaled(side) for side in _SIZE))
        self.list.setColumnHidden(2, not any(choice.when for choice in choices))
        for section in range(2):
            self.list.resizeColumnToContents(section)
            self.list.setColumnWidth(section, min(self.list.columnWidth(section) + 12, scaled(_WIDEST)))
        self._widen()
        if (first := self.list.topLevelItem(0)) is not None:
            self.list.setCurrentItem(first)
        self.list.setFocus()

    def _widen(self) -> None:
        """Take the width that names and files need to be told apart, as far as the screen has it."""
        columns = range(2 if self.list.isColumnHidden(2) else 3)
        wanted = sum(max(self.list.columnWidth(at), self.list.sizeHintForColumn(at)) for at in columns)
        room = self.screen().availableGeometry().width() - _BESIDE
        self.resize(max(self.width(), min(wanted + _AROUND, room)), self.height())

    def accept(self) -> None:
        """Take the row that is chosen."""
        row = self.list.currentItem()
        if row is not None:
            self.chosen = row.data(0, Qt.ItemDataRole.UserRole)
            super().accept()
