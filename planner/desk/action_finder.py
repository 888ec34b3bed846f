"""Every action of the desk in one list that can be searched, with its menu and its keys."""

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QDialog, QLineEdit, QTreeWidget, QTreeWidgetItem, QVBoxLayout, QWidget

from planner.desk.action_table import ACTIONS, ActionSpec
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.style import scaled

_KEYS_OF_THE_LIST = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
_SIZE = (600, 440)
_ALSO_CALLED: Final = {
    "turn": "rotate resize grip ring",
    "reshape": "raise lift lower higher shift rotate resize drag",
    "split": "insert add point cut divide",
    "merge": "join combine",
    "show_plan": "form purpose window ground notices aircraft papers crew sight weather wind beneath pilots",
    "choose_all": "select mark everything",
    "snap_ground": "snap terrain hug",
    "level": "snap flat same height",
    "fit_plan": "zoom centre center",
    "fit_charts": "zoom out overview",
    "zoom_in": "closer magnify larger",
    "zoom_out": "farther smaller",
    "preferences": "settings options units metric imperial feet metres knots theme colours colors size font",
    "find_action": "search commands shortcuts keys",
    "open": "load file",
    "recent": "last history go on continue earlier",
    "demos": "example sample tutorial island missions",
    "kept_aircraft": "library drone model",
    "kept_people": "library crew observer pilot",
    "kept_sites": "library place field location",
    "kept_permissions": "library authorization waiver agreement kept",
    "sheet": "print paper briefing observer",
    "undo": "back revert",
    "delete": "remove erase",
    "new": "clear begin start",
    "copy_points": "coordinates clipboard",
    "paste_points": "coordinates import insert",
    "reverse": "backwards direction invert",
    "hour": "time clock sun",
    "manual": "help documentation",
    "layers": "map airspace toggle show hide",
    "compare": "difference diff version",
    "another_day": "duplicate copy date",
    "closure": "restriction notam tfr",
    "crew": "observer pilot person people place",
    "stand": "observer crew place seen",
}
"""Words that people look for, and no action says of itself."""


class ActionFinder(QDialog):
    """A field and the actions that answer to it; Enter does the chosen one, after the list has closed."""

    def __init__(self, actions: Mapping[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._actions = actions
        self.setWindowTitle("What the desk can do")
        answer_help(self, "the_desk#keys")
        self.field = QLineEdit(self)
        self.field.setPlaceholderText("Words of an action")
        self.field.setAccessibleName("Words to look for")
        self.field.textChanged.connect(self._show)
        self.field.returnPressed.connect(self._do)
        self.field.installEventFilter(self)
        self.list = QTreeWidget(self)
        self.list.setAccessibleName("Actions")
        self.list.setHeaderLabels(["Action", "Menu", "Keys"])
        self.list.setRootIsDecorated(False)
        self.list.setUniformRowHeights(True)
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.itemClicked.connect(lambda _item: self._do())
        self.tip = PlainLabel(self)
        self.tip.setProperty("kind", "soft")
        self.tip.setWordWrap(True)
        self.tip.setMinimumHeight(2 * self.tip.fontMetrics().height())
        self.tip.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.list.currentItemChanged.connect(lambda item: self._tell(item))
        column = QVBoxLayout(self)
        column.addWidget(self.field)
        column.addWidget(self.list, 1)
        column.addWidget(self.tip)
        self.resize(*(scaled(side) for side in _SIZE))
        self._show("")
        for section, share in enumerate((0.56, 0.12)):
            self.list.setColumnWidth(section, round(share * scaled(_SIZE[0])))

    @property
    def keys(self) -> list[str]:
        """The actions that are listed now, in order."""
        rows = [self.list.topLevelItem(row) for row in range(self.list.topLevelItemCount())]
        keys = [item.data(0, Qt.ItemDataRole.UserRole) for item in rows if item is not None]
        return [key for key in keys if key]

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Let the arrow keys choose in the list while the field has the focus."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            key = Qt.Key(event.key())
            if key in _KEYS_OF_THE_LIST:
                self.list.keyPressEvent(event)
                return True
        return False

    def _show(self, words: str) -> None:
        self.list.clear()
        for spec in matching(words):
            action = self._actions[spec.key]
            row = QTreeWidgetItem([action.text(), spec.menu, ", ".join(spec.shortcuts)])
            row.setData(0, Qt.ItemDataRole.UserRole, spec.key)
            row.setDisabled(not action.isEnabled())
            self.list.addTopLevelItem(row)
        first = self.list.topLevelItem(0)
        if first is not None:
            self.list.setCurrentItem(first)
        else:
            none = QTreeWidgetItem(["No action answers to these words"])
            none.setDisabled(True)
            self.list.addTopLevelItem(none)
            self.tip.setText("Try other words, or fewer.")

    def _tell(self, item: QTreeWidgetItem | None) -> None:
        if item is not None:
            spec = next(spec for spec in ACTIONS if spec.key == item.data(0, Qt.ItemDataRole.UserRole))
            self.tip.setText(spec.tip)

    def _do(self) -> None:
        item = self.list.currentItem()
        if item is None or item.isDisabled():
            return
        action = self._actions[item.data(0, Qt.ItemDataRole.UserRole)]
        self.accept()
        action.trigger()


def matching(words: str) -> list[ActionSpec]:
    """Return the actions in which every word begins a word of theirs; names, then whole words first."""
    wanted = _words(words)
    found = [spec for spec in ACTIONS if _answers(wanted, _all_words(spec))]
    return sorted(
        found,
        key=lambda spec: (
            _words(spec.text)[: len(wanted)] != wanted,
            not set(wanted) <= set(_words(_all_words(spec))),
            not _answers(wanted, spec.text),
        ),
    )


def _all_words(spec: ActionSpec) -> str:
    return " ".join((spec.text, spec.menu, spec.tip, _ALSO_CALLED.get(spec.key, "")))


def _answers(wanted: list[str], text: str) -> bool:
    return all(any(part.startswith(word) for part in _words(text)) for word in wanted)


def _words(text: str) -> list[str]:
    return [word for part in text.casefold().split() if (word := part.strip(".,;:()…"))]
