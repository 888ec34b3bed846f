"""The dialog that shows what would fix the plan, before and after, and does it."""

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QHideEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QRadioButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.fixing.attempts import Attempt, Room, attempt, can_be_tried
from planner.desk.fixing.comparison import comparison
from planner.desk.fixing.kinds import FIX_WORDS, FixKind
from planner.desk.fixing.sketch import ProfileSketch, common_span
from planner.desk.fixing.then_words import then_words
from planner.desk.manual.help_key import answer_help
from planner.desk.newest_job import NewestJob
from planner.desk.plain_label import PlainLabel
from planner.desk.quantities import HEIGHT, LENGTHS, SHARES, parse, words
from planner.desk.quiet_button import keep_quiet
from planner.desk.saying import said
from planner.desk.stand_aside import stand_aside
from planner.desk.style import scaled
from planner.errors import PlanError
from planner.remedy.judged import Judged
from planner.remedy.remedy import Remedy

_TROUBLE = "This could not be worked out; the plan is as it was"
_USES_MARGIN = frozenset({FixKind.LOWER, FixKind.SINK, FixKind.LEAST, FixKind.AREA})
_USES_GROUND = frozenset({FixKind.SINK, FixKind.LEAST})
_USES_ASIDE = frozenset({FixKind.BEND, FixKind.LEAST})


class FixDialog(QDialog):
    """Stays open beside the map, and follows the plan.

    `room_changed` carries what the pilot wants left; `way_changed` the places
    of the path as it would be, or None.
    """

    room_changed = Signal(object)
    way_changed = Signal(object)

    def __init__(self, document: Document, room: Room, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("What would fix it")
        answer_help(self, "windows/fix")
        self.setMinimumWidth(scaled(560))
        self.resize(scaled(560), 690)
        self._document = document
        self._room = room
        self.attempt: Attempt | None = None
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_done)
        self._make_choices()
        self._make_fields(room)
        self._make_preview()
        self._lay_out()
        document.assessed.connect(self._start)
        document.followed.connect(self._start)

    def present(self, kind: FixKind | None = None) -> None:
        """Show the dialog, and try one kind."""
        able = can_be_tried(self._document.assessment)
        wanted = kind if kind in able else next(iter(able), FixKind.LEAST)
        self.choices[wanted].setChecked(True)
        stand_aside(self)
        self.show()
        self.raise_()
        self._start()

    @property
    def kind(self) -> FixKind:
        """What is chosen."""
        return next(kind for kind, button in self.choices.items() if button.isChecked())

    def apply(self) -> None:
        """Do what is shown, as one step of undoing."""
        tried = self.attempt
        if tried is None or not isinstance(tried.outcome, Remedy) or not self._is_current(tried):
            return
        self.way_changed.emit(None)
        if self._document.try_edit(tried.outcome.edit):
            self._document.message.emit(f"{said(tried.outcome.title)}: done, Undo brings the old one back")
            self.hide()

    def close_for_good(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()
        self.close()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Take the new way off the map."""
        self.way_changed.emit(None)
        super().closeEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:
        """Take the new way off the map, and keep nothing of the flight: it may be another one next time."""
        self.way_changed.emit(None)
        if not event.spontaneous():
            self._job.drop()
            self._forget()
        super().hideEvent(event)

    def _make_choices(self) -> None:
        self._group = QButtonGroup(self)
        self.choices: dict[FixKind, QRadioButton] = {}
        self._notes: dict[FixKind, QLabel] = {}
        for kind, (name, note) in FIX_WORDS.items():
            button = QRadioButton(name, self)
            button.setToolTip(note)
            self._group.addButton(button)
            self.choices[kind] = button
            self._notes[kind] = PlainLabel(note, self)
            self._notes[kind].setProperty("kind", "soft")
            self._notes[kind].setWordWrap(True)
        self.choices[FixKind.LEAST].setChecked(True)
        self._group.buttonClicked.connect(lambda _button: self._start())

    def _make_fields(self, room: Room) -> None:
        def length(label: str, tip: str, value_m: float) -> TextField:
            field = TextField(label, tip, lambda text: parse(text, LENGTHS, HEIGHT, label.lower()))
            field.show_text(words(value_m, HEIGHT, LENGTHS), value_m)
            field.committed.connect(self._on_room)
            return field

        self.margin = length("Margin under the ceiling", "What you want left above the path", room.margin_m)
        self.above_ground = length(
            "At least above ground", "A sink line keeps this much above the ground", room.above_ground_m
        )
        self.aside = length("Clear of airspace", "How far aside of it the new path keeps", room.aside_m)
        self.steepest = TextField(
            "Steepest sink",
            "How far down for each length along; 100 % is 45 degrees",
            lambda text: parse(text, SHARES, "%", "steepest sink"),
        )
        self.steepest.show_text(words(room.steepest, "%", SHARES), room.steepest)
        self.steepest.committed.connect(self._on_room)
        self.room_fields = Section("Room you want left", "Kept for the next time", self)
        self.room_fields.add_row(self.margin, self.above_ground)
        self.room_fields.add_row(self.aside, self.steepest)

    def _make_preview(self) -> None:
        self.before_sketch, self.after_sketch = ProfileSketch("now", self), ProfileSketch("then", self)
        self.outcome = PlainLabel(self)
        self.outcome.setWordWrap(True)
        self.outcome.setTextFormat(Qt.TextFormat.PlainText)
        self.table = QWidget(self)
        self._grid = QGridLayout(self.table)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(22)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(3, 1)
        self.apply_button = QPushButton("Do it", self)
        self.apply_button.setDefault(True)
        self.apply_button.clicked.connect(self.apply)
        self.close_button = QPushButton("Close", self)
        keep_quiet(self.close_button)
        self.close_button.clicked.connect(self.close)

    def _lay_out(self) -> None:
        body = QWidget(self)
        column = QVBoxLayout(body)
        column.setContentsMargins(16, 10, 16, 8)
        column.setSpacing(8)
        picks = QGridLayout()
        picks.setHorizontalSpacing(12)
        picks.setColumnStretch(1, 1)
        for row, kind in enumerate(self.choices):
            picks.addWidget(self.choices[kind], row, 0)
            picks.addWidget(self._notes[kind], row, 1)
        column.addLayout(picks)
        self.room_fields.column.setContentsMargins(0, 6, 0, 6)
        column.addWidget(self.room_fields)
        column.addWidget(self.outcome)
        sketches = QHBoxLayout()
        sketches.addWidget(self.before_sketch)
        sketches.addWidget(self.after_sketch)
        column.addLayout(sketches, 1)
        column.addWidget(self.table)
        # On a low screen what stands above the buttons is scrolled: squeezed, fields would be cut.
        self.area = QScrollArea(self)
        self.area.setAccessibleName("Ways to fix it, and what each comes to")
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidgetResizable(True)
        self.area.setWidget(body)
        foot = QHBoxLayout()
        foot.setContentsMargins(16, 0, 16, 0)
        foot.addStretch(1)
        foot.addWidget(self.apply_button)
        foot.addWidget(self.close_button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 14)
        whole.setSpacing(8)
        whole.addWidget(self.area, 1)
        whole.addLayout(foot)

    def _on_room(self) -> None:
        try:
            room = Room(
                max(self.margin.value() or 0.0, 0.0),
                max(self.above_ground.value() or 0.0, 0.0),
                max(self.aside.value() or 0.0, 1.0),
                max(self.steepest.value() or 0.0, 0.01),
            )
        except PlanError:
            return
        if room != self._room:
            self._room = room
            self.room_changed.emit(room)
            self._start()

    def _start(self) -> None:
        if not self.isVisible():
            return
        able = can_be_tried(self._document.assessment)
        for kind, button in self.choices.items():
            button.setEnabled(kind in able)
            self._notes[kind].setEnabled(kind in able)
        kind = self.kind
        for field, users in (
            (self.margin, _USES_MARGIN),
            (self.above_ground, _USES_GROUND),
            (self.steepest, _USES_GROUND),
            (self.aside, _USES_ASIDE),
        ):
            field.setEnabled(kind in users)
        self.attempt = None
        self.apply_button.setEnabled(False)
        self.outcome.setText("Working it out …")
        self._job.start(partial(attempt, self._document.assessment, kind, self._room))

    def _on_done(self, tried: Attempt | None, trouble: str) -> None:
        self.attempt = tried
        if tried is None:
            self.outcome.setText(trouble)
            return
        remedy = tried.outcome if isinstance(tried.outcome, Remedy) else None
        self.apply_button.setEnabled(remedy is not None and self._is_current(tried))
        if isinstance(tried.outcome, Remedy):
            left = then_words(tried.judged) if tried.judged else ""
            self.outcome.setText(f"{said(tried.outcome.title)}. {left}".rstrip())
        else:
            reason = tried.outcome.reason
            self.outcome.setText(f"Not this way: {said(reason)}.")
        self._show_sketches(tried)
        self._show_table(remedy, tried.judged)
        self.way_changed.emit(tried.new_way())

    def _is_current(self, tried: Attempt) -> bool:
        return tried.of.plan is self._document.plan and not self._document.checking

    def _forget(self) -> None:
        self.attempt = None
        for sketch in (self.before_sketch, self.after_sketch):
            sketch.forget()

    def _show_sketches(self, tried: Attempt) -> None:
        shown = [trial for trial in (tried.before, tried.after) if trial is not None]
        span_m, length_m = common_span(shown)
        self.before_sketch.show_trial(tried.before, tried.parts_before, span_m, length_m)
        self.after_sketch.show_trial(tried.after, tried.parts_after, span_m, length_m)
        self.before_sketch.setVisible(tried.kind is not FixKind.AREA)
        self.after_sketch.setVisible(tried.kind is not FixKind.AREA)

    def _show_table(self, remedy: Remedy | None, judged: Judged | None) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        rows = (("", "now", "then"), *comparison(remedy, judged)) if remedy is not None else ()
        for row, texts in enumerate(rows):
            changed = row > 0 and texts[1] != texts[2]
            for column, text in enumerate(texts):
                label = PlainLabel(text, self.table)
                label.setProperty("kind", "soft" if row == 0 or column == 0 else "")
                if changed and column == 2:
                    label.setStyleSheet("font-weight: 600;")
                self._grid.addWidget(label, row, column)
