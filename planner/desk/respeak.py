"""Everything said anew once other units are in use."""

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document


def speak_anew(window: QWidget, document: Document) -> None:
    """Let every part of a window say what it shows in the units in use; the plan stays as it is."""
    for widget in window.findChildren(QWidget):
        speak = getattr(widget, "speak", None)
        if speak is not None:
            speak()
        widget.update()
    for changed in (document.world_changed, document.assessed, document.followed):
        changed.emit()
