"""Files dropped anywhere on a window, whatever widget lies under the pointer."""

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QDropEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from planner.desk.charts.parcels import local_files
from planner.desk.plain_label import PlainLabel

_DRAGS = frozenset({QEvent.Type.DragEnter, QEvent.Type.DragMove, QEvent.Type.Drop})


class FileDrops(QObject):
    """Takes files out of drags over a window; `dropped` carries their paths.

    It listens at the system's window: text fields and the browser view would
    take a drop for text before their window hears of it.
    """

    dropped = Signal(object)

    def __init__(self, window: QWidget, words: str) -> None:
        super().__init__(window)
        self._window = window
        self.veil = PlainLabel(words, window)
        self.veil.setObjectName("drop_veil")
        self.veil.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.veil.hide()
        window.setAcceptDrops(True)
        window.installEventFilter(self)
        self._listen()

    def _listen(self) -> None:
        handle = self._window.windowHandle()
        if handle is not None:
            handle.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take drags of files; leave everything else alone."""
        if watched is self._window:
            if event.type() == QEvent.Type.Show:
                self._listen()
            return False
        if event.type() == QEvent.Type.DragLeave:
            self.veil.hide()
            return False
        if self._is_waved_off(event):
            self.veil.hide()
            return True
        return event.type() in _DRAGS and isinstance(event, QDropEvent) and self._take(event)

    def _is_waved_off(self, event: QEvent) -> bool:
        """Whether a click or Escape is meant for the veil: who dragged may be gone without a word."""
        escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        pressed = event.type() == QEvent.Type.MouseButtonPress
        return self.veil.isVisible() and (pressed or (escape and event.type() == QEvent.Type.KeyPress))

    def _take(self, event: QDropEvent) -> bool:
        if event.type() == QEvent.Type.Drop:
            self.veil.hide()
        paths = local_files(event.mimeData())
        if not paths or QApplication.activeModalWidget() not in (None, self._window):
            return False
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        if event.type() == QEvent.Type.Drop:
            # The drag must end before anything opens a dialog.
            QTimer.singleShot(0, self, lambda: self.dropped.emit(paths))
        elif self.veil.isHidden():
            self.veil.setGeometry(self._window.rect().adjusted(10, 10, -10, -10))
            self.veil.show()
            self.veil.raise_()
        return True
