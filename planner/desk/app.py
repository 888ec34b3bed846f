"""Starts the desk."""

import os
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from planner.browser_engine import refusal_line, refuses_this_user, spare_shared_memory
from planner.errors import SystemLibraryError
from planner.system_libraries import missing, one_line

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication


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
    # Only now: where libraries are missing, Qt can't be loaded.
    from PySide6.QtCore import QTimer

    application = make_application()
    desk = Desk(chart_paths, terrain_path)
    desk.window.show()
    QTimer.singleShot(0, partial(desk.start, plan_path))
    try:
        return application.exec()
    finally:
        desk.close()


def make_application() -> "QApplication":
    """Return the one QApplication, dressed."""
    # pyqtlet2 speaks through QtPy, which must not guess; pyqtgraph likewise.
    os.environ["QT_API"] = "pyside6"
    os.environ["PYQTGRAPH_QT_LIB"] = "PySide6"
    spare_shared_memory()
    from PySide6.QtCore import QCoreApplication, Qt
    from PySide6.QtGui import QGuiApplication
    from PySide6.QtWidgets import QApplication

    from planner.desk.style import dress

    # The browser view asks for this before the application exists; it is loaded later.
    QCoreApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    QCoreApplication.setApplicationName("lowline")
    QGuiApplication.setApplicationDisplayName("")
    application = QApplication(sys.argv[:1])
    dress(application)
    return application


class Desk:
    """Document, window, recovery and the door for errors, put together."""

    def __init__(self, chart_paths: Sequence[Path] | None, terrain_path: Path | None) -> None:
        from planner.assess import Memory, assess
        from planner.desk.commands import WorldSource
        from planner.desk.document import Document
        from planner.desk.recovery import Recovery
        from planner.desk.state_dir import state_dir
        from planner.desk.trouble import TroubleDesk
        from planner.desk.window import DeskWindow

        self._state = state_dir()
        self.trouble = TroubleDesk(self._state)
        self.trouble.listen()
        source = WorldSource(chart_paths, terrain_path)
        self.document = Document(partial(assess, memory=Memory()), source.load)
        self.recovery = Recovery(self.document, self._state)
        self.trouble.keep_work = self.recovery.keep_now
        self.trouble.told.connect(self.document.message)
        self.window = DeskWindow(self.document, source)
        self.window.banner.answered.connect(self._on_answered)

    def start(self, plan_path: Path | None) -> None:
        """Bring map and plan, the map first."""
        self.window.furnish()
        if plan_path is None or not self.window.commands.open_path(plan_path):
            self.window.commands.start_empty()
        self._offer_unsaved()

    def close(self) -> None:
        """End what runs beside the window; unsaved work that was given up goes away."""
        self.document.close()
        self.recovery.close()
        self.trouble.leave()

    def _offer_unsaved(self) -> None:
        from planner.desk.recovery import find_unsaved

        found = find_unsaved(self._state)
        self.window.banner.offer(found[0] if found else None)

    def _on_answered(self, work: object, restore: bool) -> None:
        from planner.desk.recovery import UnsavedWork, discard

        assert isinstance(work, UnsavedWork)
        if restore:
            self.window.commands.restore(work)
        else:
            discard(work)
        self._offer_unsaved()
