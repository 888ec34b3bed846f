"""Starts the desk."""

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from planner.browser_engine import refusal_line, refuses_this_user, spare_shared_memory
from planner.desk.heap import give_memory_back
from planner.errors import SystemLibraryError
from planner.system_libraries import missing, one_line

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

_AT_REST_MS = 5_000
_HELD_S = 0.0005
"""So long a worker may keep Python's lock from the desk's thread, which asks for it after each call of Qt.

As it comes it is ten times as long: a picture of twenty lines would wait a tenth of a second.
"""


def run(plan_path: Path | None, chart_paths: Sequence[Path] | None, terrain_path: Path | None) -> int:
    """Open the desk on a plan, or on nothing yet; return its exit code.

    Raises
    ------
    SystemLibraryError
        If libraries of the system that Qt needs are missing, or the map's browser view can't start.
    """
    lacking = missing()
    if lacking:
        raise SystemLibraryError(one_line(lacking))
    if refuses_this_user():
        raise SystemLibraryError(refusal_line())
    give_memory_back()
    # Only now: where libraries are missing, Qt can't be loaded.
    from planner.desk.desk import Desk

    application = make_application()
    desk = Desk(chart_paths, terrain_path)
    desk.show_map_first(plan_path)
    spare_collector()
    try:
        return application.exec()
    finally:
        desk.close()


def spare_collector() -> None:
    """Leave what is there after the start out of later collections of garbage: that takes 0.1 s."""
    from PySide6.QtCore import QTimer

    QTimer.singleShot(_AT_REST_MS, gc.freeze)


def make_application() -> "QApplication":
    """Return the one QApplication, dressed."""
    # pyqtlet2 speaks through QtPy, which must not guess; pyqtgraph likewise.
    os.environ["QT_API"] = "pyside6"
    os.environ["PYQTGRAPH_QT_LIB"] = "PySide6"
    spare_shared_memory()
    sys.setswitchinterval(_HELD_S)
    from PySide6.QtCore import QCoreApplication, Qt
    from PySide6.QtGui import QGuiApplication
    from PySide6.QtWidgets import QApplication

    from planner.desk.preferences import read_settings
    from planner.desk.state_dir import state_dir
    from planner.desk.style import dress

    # The browser view asks for this before the application exists; it is loaded later.
    QCoreApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    QCoreApplication.setApplicationName("lowline")
    QGuiApplication.setApplicationDisplayName("")
    application = QApplication(sys.argv[:1])
    dress(application, read_settings(state_dir()))
    return application
