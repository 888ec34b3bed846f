"""A field of several lines, for text that is kept as it was pasted."""

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QWidget

from planner.desk.fields import Field
from planner.desk.undo_keys import UndoKeys

_FEWEST_LINES, _MOST_LINES = 3, 9
_FRAME_PX = 14
_PAUSE_MS = 300
_END_OF_PARAGRAPH, _END_OF_LINE = "\u2029", "\u2028"


class TextBox(Field):
    """Text kept character for character.

    It is said to be committed at a pause of the typing and when the box is left; all of one `visit` belongs
    together.
    """

    def __init__(self, label: str, tip: str, *, example: str = "", parent: QWidget | None = None) -> None:
        super().__init__(label, tip, parent)
        self._shown = ""
        self._exact = ""
        self.visit = 0
        self.edit = QPlainTextEdit(self)
        self.edit.setPlaceholderText(example)
        self.edit.setTabChangesFocus(True)
        self.edit.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self._fit()
        self.edit.document().documentLayout().documentSizeChanged.connect(self._fit)
        self._set_input(self.edit, label)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self.commit_now)
        self.edit.textChanged.connect(self._pause.start)
        self.edit.installEventFilter(self)
        UndoKeys(self.edit)

    @property
    def input(self) -> QWidget:
        """The box typed into."""
        return self.edit

    def put_beside_name(self, widget: QWidget) -> None:
        """Put something at the right end of the line that its name is in."""
        line = QHBoxLayout()
        self._column.removeWidget(self.label)
        line.addWidget(self.label, 1)
        line.addWidget(widget)
        self._column.insertLayout(0, line)

    def value(self) -> str:
        """Return the text: the plan's own while nobody has changed it."""
        text = self._text()
        return self._exact if text == self._shown else text

    def show_text(self, text: str) -> None:
        """Show the plan's text; what is being typed is left alone."""
        if self._text() != self._shown and self.edit.hasFocus():
            return
        if text != self._exact or self._text() != self._shown:
            self.edit.setPlainText(text)
        self._exact = text
        self._shown = self._text()

    def blank(self) -> None:
        """Be empty; what waits for a pause of the typing is dropped."""
        super().blank()
        self.edit.clear()
        self._exact = self._shown = ""
        self._pause.stop()

    def commit_now(self) -> None:
        """Commit what was typed."""
        self._pause.stop()
        if self._text() != self._shown:
            self._exact = self._shown = self._text()
            self.committed.emit()

    def _fit(self) -> None:
        """Be as high as the text as it is wrapped, within bounds."""
        # This box's own document counts its height in lines. The style sheet must give it no least height:
        # that would take the place of the one set here, and a short page squeeze the box to it.
        lines = int(self.edit.document().size().height())
        lines = min(max(lines, _FEWEST_LINES), _MOST_LINES)
        frame = 2 * int(self.edit.document().documentMargin()) + _FRAME_PX
        if self.edit.isVisible():
            frame += max(self.edit.height() - self.edit.viewport().height() - _FRAME_PX, 0)
        height = lines * self.edit.fontMetrics().lineSpacing() + frame
        if height != self.edit.height():
            self.edit.setFixedHeight(height)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Count visits; commit what was typed when the box is left."""
        if watched is self.edit and event.type() == QEvent.Type.FocusIn:
            self.visit += 1
        elif watched is self.edit and event.type() == QEvent.Type.FocusOut:
            self.commit_now()
        return super().eventFilter(watched, event)

    def _text(self) -> str:
        # The box's own plain text would turn hard spaces into soft ones.
        raw = self.edit.document().toRawText()
        return raw.replace(_END_OF_PARAGRAPH, "\n").replace(_END_OF_LINE, "\n")
