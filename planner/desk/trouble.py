"""The one door for unexpected errors: logged in full, told in one calm line, work kept."""

import logging
import sys
import threading
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from planner.errors import LowlineError

if TYPE_CHECKING:
    from collections.abc import Callable

LOG_NAME = "lowline.log"


class TroubleDesk(QObject):
    """Takes every exception nobody expected, from any thread.

    `keep_work` is called after an error in the main thread.
    """

    told = Signal(str)

    def __init__(self, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.log_path = folder / LOG_NAME
        self.keep_work: Callable[[], None] | None = None
        self._keeping = False
        self._log = logging.getLogger("planner.desk.trouble")
        self._handler = RotatingFileHandler(
            self.log_path, maxBytes=500_000, backupCount=1, encoding="utf-8", delay=True
        )
        self._handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
        self._log.addHandler(self._handler)
        self._log.propagate = False
        self._before = (sys.excepthook, threading.excepthook)

    def listen(self) -> None:
        """Take the place of the interpreter's own hooks."""
        sys.excepthook = self.report
        threading.excepthook = self._report_of_thread

    def leave(self) -> None:
        """Give the hooks back and close the log."""
        sys.excepthook, threading.excepthook = self._before
        self._log.removeHandler(self._handler)
        self._handler.close()

    def report(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None = None
    ) -> None:
        """Log an error and tell it in one line."""
        if issubclass(kind, KeyboardInterrupt):
            self._before[0](kind, error, trace)
            return
        self._log.error("unexpected", exc_info=(kind, error, trace))
        if threading.current_thread() is threading.main_thread():
            self._keep_work()
        self.told.emit(self.line_for(error))

    def _keep_work(self) -> None:
        if self.keep_work is None or self._keeping:
            return
        self._keeping = True
        try:
            self.keep_work()
        except (OSError, LowlineError) as error:
            self._log.error("unsaved work could not be kept: %s", error)
        finally:
            self._keeping = False

    def line_for(self, error: BaseException) -> str:
        """Return what the pilot is told."""
        if isinstance(error, LowlineError):
            return error.one_line()
        return f"Something went wrong in the program. Your plan is kept. Details: {self.log_path}"

    def _report_of_thread(self, failed: threading.ExceptHookArgs) -> None:
        if failed.exc_value is not None:
            self.report(failed.exc_type, failed.exc_value, failed.exc_traceback)
