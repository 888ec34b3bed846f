"""A label that quotes figures of the law, with the metres beside the feet where metres are preferred."""

from PySide6.QtWidgets import QLabel, QWidget

from planner.desk.saying import law


class LawLabel(QLabel):
    """Says its words anew when other units are in use."""

    def __init__(self, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self.speak()

    def speak(self) -> None:
        """Say the words in the units in use."""
        self.setText(law(self._words))
