"""A line that is shown anew while somebody may be about to type in it."""

from PySide6.QtWidgets import QLineEdit


def show_anew(edit: QLineEdit, text: str) -> None:
    """Put a text in, with nothing to take back; whoever is in the line goes on where they were.

    Tab chooses all of a field, and what is typed replaces it: without the choice it would go in front. All is
    chosen, too, of another text than stood there.
    """
    same = edit.text() == text
    start, length, cursor = edit.selectionStart(), len(edit.selectedText()), edit.cursorPosition()
    edit.setText(text)
    # Not hasFocus: whoever comes back from another window goes on typing here.
    if edit.window().focusWidget() is not edit:
        edit.setCursorPosition(0)
    elif not same:
        edit.selectAll()
    elif length:
        edit.setSelection(start, length)
    else:
        edit.setCursorPosition(cursor)
