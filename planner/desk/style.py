"""The look of the whole application: style, palette, font, style sheet."""

import re

from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from planner.desk import palette
from planner.locate import resources_dir

_POINT_SIZE = 9.5


def dress(application: QApplication) -> None:
    """Give the application its paper tones, its font and its style sheet."""
    application.setStyle("Fusion")
    application.setPalette(_palette())
    application.setFont(text_font())
    application.setStyleSheet(style_sheet())


def text_font() -> QFont:
    """Return the system's own sans-serif font at the desk's size."""
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    font.setStyleHint(QFont.StyleHint.SansSerif)
    font.setPointSizeF(max(_POINT_SIZE, min(font.pointSizeF(), 11.0)))
    return font


def style_sheet() -> str:
    """Return the style sheet with the palette's colours and its own folder filled in.

    Raises
    ------
    KeyError
        If the sheet names a colour that the palette lacks.
    """
    folder = resources_dir() / "style"
    words = {**palette.TOKENS, "folder": folder.as_posix()}
    text = (folder / "desk.qss").read_text("utf-8")
    return re.sub(r"@([a-z-]+)@", lambda found: words[found.group(1)], text)


def _palette() -> QPalette:
    role = QPalette.ColorRole
    colours = QPalette()
    for key, name in (
        (role.Window, palette.PAPER),
        (role.WindowText, palette.INK),
        (role.Base, "#ffffff"),
        (role.AlternateBase, palette.PAPER),
        (role.Text, palette.INK),
        (role.Button, palette.PAPER),
        (role.ButtonText, palette.INK),
        (role.ToolTipBase, palette.PAPER),
        (role.ToolTipText, palette.INK),
        (role.Highlight, palette.INK),
        (role.HighlightedText, palette.PAPER),
        (role.Link, palette.ASK),
        (role.LinkVisited, palette.ASK),
        (role.PlaceholderText, palette.HINT),
    ):
        colours.setColor(key, QColor(name))
    for key in (role.WindowText, role.Text, role.ButtonText):
        colours.setColor(QPalette.ColorGroup.Disabled, key, QColor("#a4a598"))
    return colours
