"""One thing of a list in words, with what can be done to it: show, change, remove."""

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel


class LineWithWays(QWidget):
    """A name that shows it on the map, words below, and two buttons."""

    def __init__(self, name: str, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.show_it = QPushButton(name, self)
        self.show_it.setProperty("kind", "link")
        self.show_it.setToolTip("Show it on the map, its corners to take hold of")
        self.words = PlainLabel(words, self)
        self.words.setProperty("kind", "soft")
        self.words.setWordWrap(True)
        self.edit = QPushButton("Change…", self)
        self.remove = QPushButton("×", self)
        self.remove.setToolTip("Remove it")
        self.remove.setAccessibleName(f"Remove {name}")
        self.remove.setFixedWidth(30)
        left = QVBoxLayout()
        left.setSpacing(0)
        left.addWidget(self.show_it)
        left.addWidget(self.words)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addLayout(left, 1)
        row.addWidget(self.edit)
        row.addWidget(self.remove)
