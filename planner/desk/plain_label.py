"""A label that shows its words as they are: names come from others' files, and Qt reads markup into them."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget


class PlainLabel(QLabel):
    """The label of the desk, empty (of a parent alone) or with words."""

    def __init__(self, words: str | QWidget | None = "", parent: QWidget | None = None) -> None:
        if isinstance(words, str):
            super().__init__(words, parent)
        else:
            super().__init__(words)
        self.setTextFormat(Qt.TextFormat.PlainText)
