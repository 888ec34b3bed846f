"""Files dropped anywhere on a window, whatever widget lies under the pointer."""

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QDropEvent
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
        return event.type() in _DRAGS and isinstance(event, QDropEvent) and self._take(event)

    def _take(self, event: QDropEvent) -> bool:
        paths = local_files(event.mimeData())
        if not paths or QApplication.activeModalWidget() not in (None, self._window):
            return False
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        if event.type() == QEvent.Type.Drop:
            self.veil.hide()
            # The drag must end before anything opens a dialog.
            QTimer.singleShot(0, self, lambda: self.dropped.emit(paths))
        elif self.veil.isHidden():
            self.veil.setGeometry(self._window.rect().adjusted(10, 10, -10, -10))
            self.veil.show()
            self.veil.raise_()
        return True
