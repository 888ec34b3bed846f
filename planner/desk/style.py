"""The look of the whole application: style, palette, font, style sheet."""

import re

from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from planner.desk import palette, saying
from planner.desk.palette import Palette
from planner.locate import resources_dir
from planner.settings import Settings

_POINT_SIZE = 9.5
_LARGEST_SYSTEM_POINT_SIZE = 11.0


def dress(application: QApplication, settings: Settings | None = None) -> None:
    """Give the application the appearance and the text size of the settings; again at any time."""
    settings = settings or Settings()
    palette.put_on(application, settings.appearance)
    saying.choose(application, settings.units)
    colours = palette.in_use()
    # One sheet over another takes ten times as long as none and then one; under one the style has no name.
    application.setStyleSheet("")
    if application.style().name() != "fusion":
        application.setStyle("Fusion")
    application.setPalette(_palette(colours))
    application.setFont(text_font(settings.text_percent))
    application.setStyleSheet(style_sheet(colours, settings.text_percent))


def text_font(percent: float = 100.0) -> QFont:
    """Return the system's own sans-serif font at the desk's size times `percent`."""
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    font.setStyleHint(QFont.StyleHint.SansSerif)
    size = max(_POINT_SIZE, min(font.pointSizeF(), _LARGEST_SYSTEM_POINT_SIZE))
    font.setPointSizeF(size * percent / 100.0)
    return font


def scaled(px: float) -> int:
    """Return a length that has to grow with the text [px]."""
    return round(px * QApplication.font().pointSizeF() / text_font().pointSizeF())


def style_sheet(colours: Palette = palette.LIGHT, percent: float = 100.0) -> str:
    """Return the style sheet with these colours, its own folder, and sizes of text times `percent`.

    Raises
    ------
    KeyError
        If the sheet names a colour that the palette lacks.
    """
    folder = resources_dir() / "style"
    arrows = "_pale" if colours is palette.DARK else ""
    words = {**colours.words(), "folder": folder.as_posix(), "arrows": arrows}
    text = (folder / "desk.qss").read_text("utf-8")
    text = re.sub(r"@([a-z-]+)@", lambda found: words[found.group(1)], text)
    text = re.sub(r"@([0-9]+)@", lambda found: f"{int(found.group(1)) * percent / 100.0:.0f}", text)
    return re.sub(r"([0-9.]+)pt\b", lambda found: f"{float(found.group(1)) * percent / 100.0:g}pt", text)


def _palette(colours: Palette) -> QPalette:
    role = QPalette.ColorRole
    dressed = QPalette()
    for key, name in (
        (role.Window, colours.paper),
        (role.WindowText, colours.ink),
        (role.Base, colours.field),
        (role.AlternateBase, colours.paper),
        (role.Text, colours.ink),
        (role.Button, colours.paper),
        (role.ButtonText, colours.ink),
        (role.BrightText, colours.ink),
        (role.Light, colours.field),
        (role.Midlight, colours.paper_picked),
        (role.Mid, colours.rule),
        (role.Dark, colours.rule),
        (role.ToolTipBase, colours.paper),
        (role.ToolTipText, colours.ink),
        (role.Highlight, colours.ink),
        (role.HighlightedText, colours.paper),
        (role.Accent, colours.ink),
        (role.Link, colours.ask),
        (role.LinkVisited, colours.ask),
        (role.PlaceholderText, colours.hint),
    ):
        dressed.setColor(key, QColor(name))
    for key in (role.WindowText, role.Text, role.ButtonText):
        dressed.setColor(QPalette.ColorGroup.Disabled, key, QColor(colours.faint))
    return dressed
