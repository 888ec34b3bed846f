"""The manual's window: contents or what a search finds at the left, the page at the right."""

from typing import Final

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QColor, QCursor, QFont, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from planner.desk import palette
from planner.desk.manual.address import address_of
from planner.desk.manual.anchors import FIRST, resolved
from planner.desk.manual.page_view import PageView
from planner.desk.manual.pages import links_of, read_pages
from planner.desk.manual.search import found_in
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet
from planner.desk.style import scaled
from planner.locate import resources_dir

_SIZE: Final = QSize(900, 600)
_CONTENTS_PX: Final = 250
_ADDRESS: Final = Qt.ItemDataRole.UserRole
_BACK, _FORWARD = "Alt+Left", "Alt+Right"

_OF_ALL: Final = (FIRST, "the_desk")
"""Pages that tell of the desk as a whole: what is pointed at says more of what is meant."""


class ManualWindow(QDialog):
    """Stays open beside what it explains; works without a connection."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Manual")
        self.setModal(False)
        self.pages = read_pages()
        self._been: list[str] = []
        self._at = -1
        self.view = PageView(resources_dir() / "manual", self)
        self.view.link_followed.connect(self.show_address)
        self.search = QLineEdit(self)
        self.search.setPlaceholderText("Search the manual")
        self.search.setAccessibleName("Search the manual")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._list)
        self.search.returnPressed.connect(self._open_first)
        self.list = QListWidget(self)
        self.list.setAccessibleName("Contents, or what the search found")
        self.list.setWordWrap(True)
        self.list.setSpacing(1)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.itemClicked.connect(self._open)
        self.list.itemActivated.connect(self._open)
        self.none = PlainLabel("Nothing found. Fewer words find more.", self)
        self.none.setProperty("kind", "soft")
        self.none.setWordWrap(True)
        self.back = self._button("Back", _BACK, -1)
        self.forward = self._button("Forward", _FORWARD, 1)
        self._lay_out()
        QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self).activated.connect(self.search.setFocus)
        QShortcut(QKeySequence("F1"), self).activated.connect(lambda: self.show_address(FIRST))
        self.resize(QSize(scaled(_SIZE.width()), scaled(_SIZE.height())).boundedTo(_room(self)))
        self._list("")

    @property
    def address(self) -> str:
        """Where it is open."""
        return self._been[self._at] if self._been else ""

    def show_address(self, address: str) -> None:
        """Open a page, from a heading on; one that does not exist opens the first page."""
        page, _, _anchor = address.partition("#")
        if page not in self.pages:
            address = FIRST
        if address != self.address:
            self._been = [*self._been[: self._at + 1], address]
            self._at = len(self._been) - 1
        self._show()

    def changeEvent(self, event: QEvent) -> None:
        """Take on other colours and sizes of text."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange) and hasattr(self, "view"):
            self.view.dress()

    def _lay_out(self) -> None:
        side = QWidget(self)
        column = QVBoxLayout(side)
        column.setContentsMargins(10, 10, 8, 10)
        row = QHBoxLayout()
        row.addWidget(self.back)
        row.addWidget(self.forward)
        row.addStretch(1)
        for part in (row, self.search, self.none, self.list):
            column.addLayout(part) if isinstance(part, QHBoxLayout) else column.addWidget(part)
        column.setStretchFactor(self.list, 1)
        halves = QSplitter(self)
        halves.addWidget(side)
        halves.addWidget(self.view)
        halves.setStretchFactor(1, 1)
        halves.setChildrenCollapsible(False)
        halves.setSizes([scaled(_CONTENTS_PX), scaled(_SIZE.width() - _CONTENTS_PX)])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(halves)
        self.setTabOrder(self.search, self.list)
        self.setTabOrder(self.list, self.view)

    def _button(self, words: str, keys: str, step: int) -> QPushButton:
        button = QPushButton(words, self)
        keep_quiet(button)
        button.setShortcut(QKeySequence(keys))
        button.setToolTip(f"{words} ({keys})")
        button.clicked.connect(lambda: self._step(step))
        return button

    def _step(self, by: int) -> None:
        if 0 <= self._at + by < len(self._been):
            self._at += by
            self._show()

    def _show(self) -> None:
        page, _, anchor = self.address.partition("#")
        self.view.show_page(self.pages[page], anchor)
        self.setWindowTitle(f"Manual · {self.pages[page].title}")
        self.back.setEnabled(self._at > 0)
        self.forward.setEnabled(self._at < len(self._been) - 1)
        self._mark(page)

    def _list(self, typed: str) -> None:
        self.list.clear()
        if typed.strip():
            for passage in found_in(self.pages, typed):
                title = self.pages[passage.page].title
                words = passage.heading if title == passage.heading else f"{passage.heading}\n    {title}"
                self._add(words, passage.address)
        else:
            self._list_contents()
            self._mark(self.address.partition("#")[0])
        self.none.setVisible(not self.list.count())

    def _add(self, words: str, address: str) -> None:
        item = QListWidgetItem(words, self.list)
        item.setData(_ADDRESS, address)

    def _list_contents(self) -> None:
        """List the pages under the headings under which the first one has them."""
        first = self.pages[FIRST]
        self._add(first.title, FIRST)
        for passage in first.passages[1:]:
            heading = QListWidgetItem(passage.heading, self.list)
            heading.setFlags(Qt.ItemFlag.NoItemFlags)
            heading.setForeground(QColor(palette.in_use().ink_soft))
            heading.setFont(_bold(self.list.font()))
            heading.setSizeHint(QSize(0, 2 * self.list.fontMetrics().height()))
            heading.setTextAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
            for link in links_of(passage.text):
                name = resolved(FIRST, link)
                self._add(self.pages[name].title, name)

    def _mark(self, page: str) -> None:
        if self.search.text().strip():
            return
        for row in range(self.list.count()):
            item = self.list.item(row)
            if item.data(_ADDRESS) == page:
                self.list.setCurrentItem(item)

    def _open(self, item: QListWidgetItem) -> None:
        self.show_address(item.data(_ADDRESS))

    def _open_first(self) -> None:
        if self.search.text().strip() and self.list.count():
            self._open(self.list.item(0))


def open_manual(asked_from: QWidget, address: str = "") -> ManualWindow:
    """Open the manual at what a widget is, or at an address; one window for each window it is asked from.

    A window of its own parent stays workable while a dialog bars the rest of the desk.
    """
    owner = asked_from.window()
    known = owner.findChildren(ManualWindow, options=Qt.FindChildOption.FindDirectChildrenOnly)
    manual = known[0] if known else ManualWindow(owner)
    if manual.isHidden():
        # What was looked for the last time would hide the contents.
        manual.search.clear()
    # Where a heading lies is known once the page has its width.
    manual.show()
    manual.show_address(address or address_of(asked_from))
    manual.raise_()
    manual.activateWindow()
    return manual


def open_where_the_focus_is(window: QWidget) -> ManualWindow:
    """Open the manual at what is typed into, or worked at, in a window; on the map at what is pointed at."""
    focused = QApplication.focusWidget()
    here = focused if focused is not None and window.isAncestorOf(focused) else window
    pointed = QApplication.widgetAt(QCursor.pos())
    if _is_of_all(here) and pointed is not None and window.isAncestorOf(pointed):
        # The map, or a tool's button, has the focus whenever nothing else is worked at.
        here = here if _is_of_all(pointed) and address_of(here) != FIRST else pointed
    return open_manual(here)


def _is_of_all(widget: QWidget) -> bool:
    return address_of(widget).partition("#")[0] in _OF_ALL


def _bold(font: QFont) -> QFont:
    bold = QFont(font)
    bold.setBold(True)
    return bold


def _room(window: QWidget) -> QSize:
    return window.screen().availableSize() * 0.9
