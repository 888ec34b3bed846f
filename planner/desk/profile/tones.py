"""Pens and brushes of the profile: each meaning has a pattern besides its tone."""

from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QBrush, QColor, QGuiApplication, QPainter, QPen

from planner.desk import palette
from planner.desk.profile.strip import Pattern, Tone
from planner.drawing.patterns import Pattern as PathPattern

BAND_ALPHA: Final = 46

_STYLES: Final = {
    Pattern.DOTTED: Qt.BrushStyle.Dense6Pattern,
    Pattern.UPRIGHT: Qt.BrushStyle.VerPattern,
    Pattern.LEVEL: Qt.BrushStyle.HorPattern,
    Pattern.SLANTED: Qt.BrushStyle.BDiagPattern,
    Pattern.LEANING: Qt.BrushStyle.FDiagPattern,
    Pattern.CROSSED: Qt.BrushStyle.DiagCrossPattern,
    Pattern.SQUARED: Qt.BrushStyle.CrossPattern,
}


def fill_of(tone: Tone) -> QColor:
    """Return the plain colour of an interval."""
    return QColor(palette.in_use().fills[tone])


def marks_of(tone: Tone, pattern: Pattern) -> QBrush:
    """Return the brush of the pattern that lies on the plain colour."""
    return QBrush(QColor(palette.in_use().marks[tone]), _STYLES.get(pattern, Qt.BrushStyle.NoBrush))


def keep_hatches_wide(painter: QPainter) -> None:
    """Let patterns grow with everything else on a fine screen, not count its finer pixels."""
    painter.setRenderHint(QPainter.RenderHint.NonCosmeticBrushPatterns)


def hatch_of_unknown() -> QBrush:
    """Return the brush of stretches about which nothing is known."""
    return QBrush(QColor(palette.in_use().hatch), Qt.BrushStyle.BDiagPattern)


def pixels_a_px() -> float:
    """Return how many pixels of the screen one of ours is: such a pen counts the screen's own."""
    application = QCoreApplication.instance()
    return application.devicePixelRatio() if isinstance(application, QGuiApplication) else 1.0


def line(colour: str, width_px: float, dashes: list[float] | None = None) -> QPen:
    """Return a pen of constant width on screen; `dashes` in widths of the pen."""
    pen = QPen(QColor(colour), width_px * pixels_a_px())
    pen.setCosmetic(True)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dashes:
        pen.setDashPattern(dashes)
    return pen


def ceiling_pen() -> QPen:
    """Return the pen of the ceiling as it is now."""
    return line(palette.in_use().ink, 1.5)


def asked_pen() -> QPen:
    """Return the pen of the ceiling that could be asked for."""
    return line(palette.in_use().ask, 1.5, [3.0, 2.5])


def open_pen() -> QPen:
    """Return the pen of what is open beneath airspace of which only the authority can say."""
    return line(palette.in_use().ink, 1.5, [7.0, 3.0])


def flown_pen() -> QPen:
    """Return the pen of the height that is flown where that is not as planned."""
    return line(palette.in_use().over, 1.8, [6.0, 2.0, 1.2, 2.0])


def ground_pen() -> QPen:
    """Return the pen of the ground's edge."""
    return line(palette.in_use().ground_edge, 1.0)


def clear_pen() -> QPen:
    """Return the pen of the planned line where it may be flown."""
    return line(palette.in_use().plan, 2.6)


def brief_pen() -> QPen:
    """Return the edges of the planned line where it is briefly hidden, within the pilot's own limit."""
    return line(palette.in_use().plan, 4.6)


def brief_core_pen() -> QPen:
    """Return the paper between those edges."""
    return line(palette.in_use().paper, 1.8)


def act_pen() -> QPen:
    """Return the pen of the planned line where something is to be done first."""
    return line(palette.in_use().ask, 2.6, [4.6, 1.7])


def stop_pen() -> QPen:
    """Return the core of the planned line where it must change."""
    return line(palette.in_use().over, 1.4)


def stop_rungs_pen() -> QPen:
    """Return the rungs across that core, which make it a ladder."""
    rungs = line(palette.in_use().over, 9.0, [0.17, 0.36])
    # A round join would blow up to a disc where a rung falls on a vertex.
    rungs.setJoinStyle(Qt.PenJoinStyle.BevelJoin)
    return rungs


def unknown_pen() -> QPen:
    """Return the pen of the planned line where something is not known."""
    return line(palette.in_use().ink_soft, 2.2, [1.0, 1.6])


PENS_OF_PATTERN: Final = MappingProxyType(
    {
        PathPattern.CLEAR: (clear_pen,),
        PathPattern.BRIEF: (brief_pen, brief_core_pen),
        PathPattern.ACT: (act_pen,),
        PathPattern.UNKNOWN: (unknown_pen,),
        PathPattern.STOP: (stop_rungs_pen, stop_pen),
    }
)
"""The pens of the planned line, each drawn over the one before."""


def paper_behind(painter: QPainter, alpha: int = 225) -> None:
    """Set the painter to fill with paper, to lay words on a pattern."""
    paper = QColor(palette.in_use().paper)
    paper.setAlpha(alpha)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(paper)
