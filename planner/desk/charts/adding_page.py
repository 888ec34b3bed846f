"""Files that were dropped: what they are, what is stated about them, how far their import is."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.desk.charts.import_job import Parcel
from planner.desk.charts.shelf import OnShelf
from planner.desk.charts.statement_form import StatementForm
from planner.desk.fields import ChoiceField
from planner.desk.manual.address import lead_to
from planner.desk.plain_label import PlainLabel
from planner.errors import LowlineError
from planner.rules.words import capitalised

if TYPE_CHECKING:
    from planner.chart_report import Held
    from planner.world.readers.recognise import Recognised

_MOST_NAMED = 8


class AddingPage(QWidget):
    """`add_wanted` carries a parcel; `dropped` that the pilot does not want these files."""

    add_wanted = Signal(object)
    dropped = Signal()
    new_set_wanted = Signal()
    cancelled = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.files: tuple[Recognised, ...] = ()
        self._own: Mapping[str, OnShelf] = {}
        self.heading = PlainLabel(self)
        self.heading.setProperty("kind", "heading")
        self.list = PlainLabel(self)
        self.list.setWordWrap(True)
        self.list.setTextFormat(Qt.TextFormat.PlainText)
        lead_to(self, "windows/statement")
        self.into = ChoiceField("Into", "The chart set that takes them", {})
        self.new = QPushButton("New set…", self)
        self.form = StatementForm(self)
        self.error = PlainLabel(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.doing = PlainLabel(self)
        self.add = QPushButton("Add them", self)
        self.add.setDefault(True)
        self.leave = QPushButton("Put them aside", self)
        self.cancel = QPushButton("Stop", self)
        self._lay_out()
        self.into.committed.connect(self._prepare)
        self.new.clicked.connect(self.new_set_wanted)
        self.add.clicked.connect(self._on_add)
        self.leave.clicked.connect(self.dropped)
        self.cancel.clicked.connect(self._on_cancel)
        self.show_running(None)

    @property
    def offered(self) -> frozenset[str]:
        """The sets that can take files."""
        return frozenset(self._own)

    def show_looking(self, count: int) -> None:
        """Say that files are being looked at."""
        self.files = ()
        self.heading.setText(f"Looking at {_files(count)} …")
        self.list.setText("")
        self.complain("")
        self._show_form(on=False)

    def show_files(self, files: "Sequence[Recognised]", sets: Mapping[str, OnShelf], into: str) -> None:
        """Show what the files are, and ask for what is stated about them."""
        self.files = tuple(files)
        self.heading.setText(f"{_files(len(files))} to add")
        some = any(file.layers for file in files)
        lines = [_line(file, left_out=some) for file in files[:_MOST_NAMED]]
        if len(files) > _MOST_NAMED:
            lines.append(f"and {len(files) - _MOST_NAMED} more")
        self.list.setText("\n".join(lines))
        self.complain("")
        self.show_sets(sets, into)
        self._show_form(on=True)

    def show_sets(self, sets: Mapping[str, OnShelf], into: str) -> None:
        """Offer these sets, `into` as chosen; nothing comes into one of an invented place."""
        self._own = taking_files(sets)
        self.into.offer({name: _title(kept) for name, kept in self._own.items()})
        only_one = next(iter(self._own)) if len(self._own) == 1 else None
        self.into.show_value(into if into in self._own else only_one)
        self._prepare()

    def show_running(self, share: float | None) -> None:
        """Show how far the import is; None: none runs."""
        running = share is not None
        for widget in (self.bar, self.cancel, self.doing):
            widget.setVisible(running)
        for widget in (self.add, self.leave):
            widget.setVisible(not running)
        for part in (self.form, self.into, self.new):
            part.setEnabled(not running)
        if share is None:
            self.cancel.setEnabled(True)
            return
        self.complain("")
        # While a library reads a whole file in one call, nobody knows how far it is.
        far = share > 0.0
        self.bar.setRange(0, 1000 if far else 0)
        self.bar.setValue(round(1000 * share))
        if self.cancel.isEnabled():
            self.doing.setText(f"Adding {_files(len(self.files))}: {f'{share:.0%}' if far else 'reading'}")

    def complain(self, words: str) -> None:
        """Say in one line what is wrong, '' for nothing."""
        self.error.setText(f"× {words}" if words else "")
        self.error.setVisible(bool(words))

    def _on_add(self) -> None:
        chosen = self._own.get(self.into.value())
        if chosen is None or chosen.folder is None:
            self.complain("Say into which set they go, or make a new one.")
            return
        paths = self._paths()
        if not paths:
            self.complain("Nothing here that can be added: say what it is, or put it aside.")
            return
        try:
            statement = self.form.statement()
        except LowlineError as error:
            self.complain(error.one_line())
            return
        self.add_wanted.emit(Parcel(chosen.folder, None, paths, statement))

    def _paths(self) -> tuple[Path, ...]:
        """Return the files that are known, or all where the pilot says what they are."""
        known = tuple(file.path for file in self.files if file.layers)
        stated = self.form.layer.value() is not None and not self.form.layer.isHidden()
        return known or (tuple(file.path for file in self.files) if stated else ())

    def _on_cancel(self) -> None:
        self.cancel.setEnabled(False)
        self.doing.setText("Stopping; the set stays as it was …")
        self.cancelled.emit()

    def _prepare(self) -> None:
        chosen = self._own.get(self.into.value())
        report = chosen.report if chosen else None
        coming = {layer for file in self.files for layer in file.layers}
        before: list[Held] = []
        if report is not None:
            before = [held for layer in report.layers if layer.layer in coming for held in layer.held]
        area = report.record.jurisdiction.area if report else None
        self.form.prepare(self.files, before, area)

    def _show_form(self, *, on: bool) -> None:
        for widget in (self.into, self.new, self.form, self.add, self.leave):
            widget.setVisible(on)

    def _lay_out(self) -> None:
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        top = QHBoxLayout()
        top.addWidget(self.into, 1)
        top.addWidget(self.new, 0, Qt.AlignmentFlag.AlignBottom)
        holder = QVBoxLayout()
        holder.setContentsMargins(16, 14, 16, 0)
        holder.setSpacing(8)
        for widget in (self.heading, self.list):
            holder.addWidget(widget)
        holder.addLayout(top)
        column.addLayout(holder)
        column.addWidget(self.form)
        column.addStretch(1)
        area = QScrollArea(self)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(page)
        buttons = QHBoxLayout()
        buttons.setContentsMargins(16, 0, 16, 8)
        buttons.addWidget(self.doing)
        buttons.addWidget(self.bar, 1)
        buttons.addStretch(1)
        for button in (self.cancel, self.leave, self.add):
            buttons.addWidget(button)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(area, 1)
        outer.addWidget(self.error)
        self.error.setContentsMargins(16, 0, 16, 0)
        outer.addLayout(buttons)


def taking_files(sets: Mapping[str, OnShelf]) -> Mapping[str, OnShelf]:
    """Return the sets that real files may come into."""
    return {name: kept for name, kept in sets.items() if kept.report and not kept.invented}


def _files(count: int) -> str:
    return "One file" if count == 1 else f"{count} files"


def _title(kept: OnShelf) -> str:
    return (kept.report.record.title or kept.set_id) if kept.report else kept.set_id


def _line(file: "Recognised", *, left_out: bool) -> str:
    from planner.chart_report import layer_words

    if file.layers:
        return f"{file.path.name}: {capitalised(' and '.join(map(layer_words, file.layers)))}"
    return f"× {file.path.name}: {'left out, ' if left_out else ''}{file.why.removeprefix('is ')}"
