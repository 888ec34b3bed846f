"""Covers the map while another plan is opened: its page may need seconds, and still shows the one before."""

import itertools

from PySide6.QtCore import QEvent, QObject, Qt, QTimer

from planner.desk import palette
from planner.desk.document import Document
from planner.desk.in_turns import InTurns
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import box_of_plan
from planner.desk.plain_label import PlainLabel

_LONGEST_MS = 10_000
"""A page that says nothing must not keep the map from its pilot."""
_TURN_MS, _TURNS = 30, 3
"""What the page has drawn is on the screen some turns of the desk's own loop later."""


class MapVeil(PlainLabel):
    """Lies over the map from the moment a plan takes another's place until the page has drawn it."""

    def __init__(self, document: Document, canvas: MapCanvas) -> None:
        super().__init__(canvas)
        self._document = document
        self._canvas = canvas
        self._numbers = itertools.count(1)
        self._awaited = 0
        self._left = False
        self._something_shown = box_of_plan(document.plan) is not None
        self._turns = 0
        self._turn = QTimer(self, interval=_TURN_MS)
        self._turn.timeout.connect(self._on_turn)
        self._latest = QTimer(self, singleShot=True, interval=_LONGEST_MS)
        self._latest.timeout.connect(self.lift)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setWordWrap(True)
        # The map stays light, whatever the look is.
        colours = palette.LIGHT
        self.setStyleSheet(f"background: {colours.paper}; color: {colours.ink}; padding: 14px;")
        self.hide()
        canvas.installEventFilter(self)
        canvas.drawn.connect(self._on_drawn)
        document.replaced.connect(self._cover)
        # Made after the view of the map: by then the page has been sent the new plan.
        self._in_turns = InTurns.of(document)
        document.assessed.connect(self._ask_in_turn)

    def leave(self) -> None:
        """Go for good; a desk that is quit says it twice, the second time with events in between."""
        if not self._left:
            self._left = True
            self.setParent(None)
            self.deleteLater()

    def lift(self) -> None:
        """Show the map again."""
        self._latest.stop()
        self._turn.stop()
        self.hide()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay as large as the map."""
        if event.type() == QEvent.Type.Resize:
            self.resize(self._canvas.size())
        return super().eventFilter(watched, event)

    def _cover(self) -> None:
        if not self._canvas.is_ready or not self._something_shown:
            return
        self.setText(f"{self._document.title}: the map is being drawn.")
        self.resize(self._canvas.size())
        self.show()
        self.raise_()
        # At once: the desk has much to do before it paints again.
        self.repaint()
        self._awaited = 0
        self._turn.stop()
        self._latest.start()

    def _ask_in_turn(self) -> None:
        self._in_turns.do(self._ask)

    def _ask(self) -> None:
        self._something_shown = box_of_plan(self._document.plan) is not None
        if self.isVisible() and not self._awaited:
            self._awaited = next(self._numbers)
            self._canvas.ask_drawn(self._awaited)

    def _on_drawn(self, number: int) -> None:
        if number == self._awaited:
            self._turns = _TURNS
            self._turn.start()

    def _on_turn(self) -> None:
        self._turns -= 1
        if self._turns <= 0:
            self.lift()
