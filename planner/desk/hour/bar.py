"""The time control: one row with the window's light, the moment looked at in words, and play."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from planner.desk.hour.band import HourBand
from planner.desk.style import scaled
from planner.desk.top_bar import ElidedLabel

_PLAY, _PAUSE = "▶", "❚❚"
_TIP = (
    "Left and right: the aircraft along its path. Up and down: the whole flight by a minute. "
    "Space plays. Escape: the whole window again. The verdict is always about the whole window."
)


class HourBar(QFrame):
    """A row above the status line; `play_wanted` and `whole_wanted` come from its buttons."""

    play_wanted = Signal()
    whole_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hour_bar")
        self.play = QPushButton(_PLAY, self)
        self.play.setFixedWidth(scaled(34))
        self.play.setToolTip("Fly the path from here (Space)")
        self.play.setAccessibleName("Play")
        self.play.clicked.connect(self.play_wanted)
        self.band = HourBand(self)
        self.band.setToolTip(_TIP)
        self.words = ElidedLabel(parent=self)
        self.whole = QPushButton("Verdict: whole window", self)
        self.whole.setProperty("kind", "link")
        self.whole.setToolTip(
            "The verdict is about the whole window, whatever moment is looked at; show it again (Escape)"
        )
        self.whole.clicked.connect(self.whole_wanted)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 2, 14, 2)
        row.setSpacing(10)
        row.addWidget(self.play)
        row.addWidget(self.band, 2)
        row.addWidget(self.words, 4)
        row.addWidget(self.whole)

    def say(self, words: str, *, at_a_moment: bool, playing: bool) -> None:
        """Show words, and what can be done."""
        self.words.set_whole_text(words)
        self.band.setAccessibleDescription(words)
        self.whole.setVisible(at_a_moment)
        self.play.setText(_PAUSE if playing else _PLAY)
        self.play.setAccessibleName("Pause" if playing else "Play")
