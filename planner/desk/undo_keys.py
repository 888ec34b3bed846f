"""Undo and redo by key where something is typed: the field's own as long as it has any, else the plan's."""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit


class UndoKeys(QObject):
    """Lets the keys through to the desk from a field in which there is nothing to take back.

    Qt's fields keep them in any case, and after an entry the focus stands in the next field, untouched.
    """

    def __init__(self, edit: QLineEdit | QPlainTextEdit) -> None:
        super().__init__(edit)
        self._edit = edit
        edit.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep the field from claiming a key that does nothing in it."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undoes, redoes = self._can()
            idle = (event.matches(QKeySequence.StandardKey.Undo) and not undoes) or (
                event.matches(QKeySequence.StandardKey.Redo) and not redoes
            )
            if idle:
                event.ignore()
                return True
        return super().eventFilter(watched, event)

    def _can(self) -> tuple[bool, bool]:
        of = self._edit if isinstance(self._edit, QLineEdit) else self._edit.document()
        return of.isUndoAvailable(), of.isRedoAvailable()
