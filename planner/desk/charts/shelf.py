"""The chart sets at hand, each judged for the plan's place and window, read on a worker."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import attrs
from PySide6.QtCore import QObject, QTimer, Signal

from planner.desk.document import Document
from planner.desk.newest_job import NewestJob
from planner.errors import ChartError
from planner.plan.model import Plan

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from planner.chart_report import SetReport

_UNREAD = "The chart sets could not be read; the plan and its check are not affected"


@attrs.frozen(eq=False)
class OnShelf:
    """One set: its report, or in one line why there is none."""

    set_id: str
    folder: Path | None
    report: "SetReport | None" = None
    fault: str = ""

    @property
    def invented(self) -> bool:
        """Whether it is of an invented place, so that nothing real may come into it."""
        return self.report is not None and self.report.record.jurisdiction.invented


class ChartShelf(QObject):
    """Keeps the sets at hand; `changed` tells that they were read anew."""

    changed = Signal()
    trouble = Signal(str)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.sets: Mapping[str, OnShelf] = MappingProxyType({})
        self.wanted = False
        self.reading = False
        self._document = document
        self._asked: object = None
        self._job = NewestJob(_UNREAD, self)
        self._job.done.connect(self._on_read)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(300)
        self._later.timeout.connect(self._read_if_new)
        document.plan_changed.connect(self._on_plan)
        document.replaced.connect(self._on_plan)

    def read(self) -> None:
        """Read the sets again."""
        plan = self._document.plan
        self._asked = _asked_by(plan)
        self.reading = True
        self._job.start(partial(_sets_for, plan))

    def close(self) -> None:
        """Stop all work in the background."""
        self.wanted = False
        self._later.stop()
        self._job.stop()

    def _on_plan(self) -> None:
        if self.wanted:
            self._later.start()

    def _read_if_new(self) -> None:
        if self.wanted and _asked_by(self._document.plan) != self._asked:
            self.read()

    def _on_read(self, sets: Mapping[str, OnShelf] | None, trouble: str) -> None:
        self.reading = False
        if sets is None:
            self.trouble.emit(trouble)
            return
        self.sets = sets
        self.changed.emit()


def _asked_by(plan: Plan) -> object:
    return plan.window, plan.chart_sets, plan.places()


def _sets_for(plan: Plan) -> Mapping[str, OnShelf]:
    # Imported here: it brings GDAL, and the window is to be seen before that.
    from planner.chart_folders import known_chart_sets
    from planner.rules.data_status import extent_of

    needed = extent_of(plan)
    known = known_chart_sets()
    found = {set_id: _on_shelf(set_id, folder, plan, needed) for set_id, folder in sorted(known.items())}
    missing = {
        set_id: OnShelf(set_id, None, fault="This set is not on this computer")
        for set_id in plan.chart_sets
        if set_id not in known
    }
    doubles = {set_id: OnShelf(set_id, None, fault=known.trouble_with(set_id)) for set_id in known.doubles}
    unread = {folder.name: OnShelf(folder.name, None, fault=why) for folder, why in known.unread.items()}
    return MappingProxyType(unread | found | missing | doubles)


def _on_shelf(set_id: str, folder: Path, plan: Plan, needed: "BaseGeometry | None") -> OnShelf:
    from planner.chart_report import set_report

    try:
        return OnShelf(set_id, folder, set_report(folder, plan.window, needed))
    except ChartError as error:
        return OnShelf(set_id, folder, fault=error.one_line())
