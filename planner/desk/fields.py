"""Fields of forms: a label, an input, and one line that says what is wrong with what was typed."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, cast

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from planner.desk import saying
from planner.desk.line_shown import show_anew
from planner.desk.list_box import ListBox
from planner.desk.manual.address import lead_to
from planner.desk.manual.anchors import anchor_of
from planner.desk.manual.help_key import HelpMark
from planner.desk.plain_label import PlainLabel
from planner.desk.trouble_room import TroubleRoom
from planner.desk.undo_keys import UndoKeys
from planner.desk.way_to_field import WayToField
from planner.errors import PlanError

Parse = Callable[[str], Any]
NOT_SET = "Not set"
_BETWEEN_ROWS = 8
_NO_VALUE = object()

_EMPTY_MEANS: Final = frozenset(
    {
        "as in the report",
        "as is usual",
        "as it was granted",
        "name",
        "name of the guidelines",
        "none",
        "not said",
        "number",
        "short",
        "unchanged",
    }
)

"""What no one takes for something typed: it says what an empty field stands for, or what is asked."""


class Field(QWidget):
    """What all fields have: a name over the input, its tooltip, and a line for trouble."""

    committed = Signal()

    def __init__(self, label: str, tip: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = WayToField(label, self)
        self.label.setProperty("kind", "field")
        self.room: TroubleRoom | None = None
        self.error = WayToField(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        self.error.hide()
        self._tip = tip
        self.setToolTip(saying.tip(tip))
        lead_to(self, f"#{anchor_of(label)}")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._column.addWidget(self.label)

    @property
    def input(self) -> QWidget:
        """The widget typed into."""
        raise NotImplementedError

    def speak(self) -> None:
        """Say tip and example in the units in use."""
        self.setToolTip(saying.tip(self._tip))

    def value(self) -> Any:  # noqa: ANN401
        """Return what is typed or chosen.

        Raises
        ------
        PlanError
            If it can't be read.
        """
        raise NotImplementedError

    def commit_now(self) -> None:
        """Commit what is typed and was not committed yet, as leaving the input does."""

    def blank(self) -> None:
        """Be as on a fresh desk, whatever was shown or is being typed."""
        self.complain("")

    def complain(self, words: str) -> None:
        """Mark the input with one line, or take the mark away with ''."""
        words = words.removeprefix(f"{self.label.text().lower()}: ")
        self.error.setText(f"× {words}" if words else "")
        self.error.setVisible(bool(words))
        self.mark(invalid=bool(words))

    def mark(self, *, invalid: bool) -> None:
        """Mark the input, whose fault is told elsewhere, or take the mark away."""
        if self.input.property("invalid") != invalid:
            self.input.setProperty("invalid", invalid)
            self.input.style().unpolish(self.input)
            self.input.style().polish(self.input)

    @property
    def has_trouble(self) -> bool:
        """Whether the input is marked."""
        return self.error.text().startswith("×")

    def setVisible(self, visible: bool) -> None:
        """Show or hide it, and the room for its refusals with it."""
        super().setVisible(visible)
        if self.room is not None:
            self.room.follow()

    def _set_input(self, widget: QWidget, label: str) -> None:
        widget.setAccessibleName(label)
        for words in (self.label, self.error):
            words.setBuddy(widget)
        self._column.addWidget(widget)
        self._column.addWidget(self.error)


def room_under(fields: Sequence[Field], parent: QWidget) -> TroubleRoom:
    """Return the room for the refusals of fields that stand in one row, the first at its left."""
    room = TroubleRoom(fields, [field.error for field in fields], parent)
    for field in fields:
        field.room = room
    return room


def placeholder(example: str) -> str:
    """Return what stands in an empty field: 'e.g. 10 mi', or what an empty one means."""
    if not example or example in _EMPTY_MEANS or example.startswith("empty"):
        return example
    return f"e.g. {saying.example(example)}"


class TextField(Field):
    """Typed text, read by `parse`; '' reads as None unless `keeps_blank`.

    What can't be read stays where it is, marked, until it is mended.
    """

    def __init__(
        self,
        label: str,
        tip: str,
        parse: Parse = str.strip,
        *,
        example: str = "",
        blank: object = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(label, tip, parent)
        self._parse = parse
        self._blank = blank
        self._shown = ""
        self._exact: object = _NO_VALUE
        self.edit = QLineEdit(self)
        self._example = example
        self.edit.setPlaceholderText(placeholder(example))
        self._set_input(self.edit, label)
        UndoKeys(self.edit)
        self.edit.editingFinished.connect(self.commit_now)

    @property
    def input(self) -> QWidget:
        """The line typed into."""
        return self.edit

    def speak(self) -> None:
        """Say tip and example in the units in use."""
        super().speak()
        self.edit.setPlaceholderText(placeholder(self._example))

    def value(self) -> Any:  # noqa: ANN401
        """Return what is typed.

        Raises
        ------
        PlanError
            If it can't be read.
        """
        if self.edit.text() == self._shown and self._exact is not _NO_VALUE:
            return self._exact
        text = self.edit.text().strip()
        return self._parse(text) if text else self._blank

    def show_text(self, text: str, exact: object = _NO_VALUE) -> None:
        """Show the plan's value; what is being typed or can't be read is left alone.

        `exact` is the value behind a rounded text: untouched, the field gives it back as it was.
        """
        changed_here = self.edit.text() != self._shown
        if changed_here and (self.edit.hasFocus() or self.has_trouble):
            return
        self._shown = text
        self._exact = exact
        show_anew(self.edit, text)
        self.complain("")

    def blank(self) -> None:
        """Forget what was typed and what it stood for."""
        super().blank()
        self.edit.setText("")
        self._shown, self._exact = "", _NO_VALUE

    def commit_now(self) -> None:
        """Commit what is typed, or mark what can't be read."""
        if self.edit.text() == self._shown and not self.has_trouble:
            return
        try:
            self.value()
        except PlanError as error:
            self.complain(error.one_line())
            return
        self.complain("")
        self._shown = self.edit.text()
        self._exact = _NO_VALUE
        self.committed.emit()


class ChoiceField(Field):
    """One of a list, or not set."""

    def __init__(
        self,
        label: str,
        tip: str,
        choices: Mapping[Any, str],
        *,
        may_be_unset: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(label, tip, parent)
        self.box = ListBox(self)
        self.box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.box.setMinimumContentsLength(8)
        self._may_be_unset = may_be_unset
        self._values: list[Any] = []
        self.offer(choices)
        self._set_input(self.box, label)
        self.box.activated.connect(self._on_chosen)

    @property
    def input(self) -> QWidget:
        """The list."""
        return self.box

    def _on_chosen(self) -> None:
        self.mark(invalid=False)
        self.committed.emit()

    def offer(self, choices: Mapping[Any, str]) -> None:
        """Put other choices into the list; what was chosen is forgotten."""
        self._values = [None, *choices] if self._may_be_unset else list(choices)
        self.box.clear()
        self.box.addItems([NOT_SET, *choices.values()] if self._may_be_unset else list(choices.values()))

    def value(self) -> Any:  # noqa: ANN401
        """Return what is chosen, None for not set."""
        return self._values[self.box.currentIndex()]

    def show_value(self, value: object) -> None:
        """Show the plan's value."""
        index = self._values.index(value) if value in self._values else -1
        if index != self.box.currentIndex():
            self.box.setCurrentIndex(index)
        self.complain("")

    def blank(self) -> None:
        """Show the first choice."""
        super().blank()
        self.box.setCurrentIndex(0)


class Section(QWidget):
    """One part of a form: a heading, a line for what is missing, and rows of fields."""

    def __init__(self, heading: str, why: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._placed: list[QWidget] = []
        self._keeps_room = False
        self.held = False
        self.heading = PlainLabel(heading, self)
        self.heading.setProperty("kind", "heading")
        self.state = PlainLabel(self)
        self.state.setProperty("kind", "soft")
        self.state.setWordWrap(True)
        self.state.hide()
        self.setToolTip(why)
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(10)
        self.grid.setVerticalSpacing(0)
        self.grid.setColumnStretch(0, 1)
        self.grid.setColumnStretch(1, 1)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(16, 14, 16, 14)
        self.column.setSpacing(7)
        self.head = QHBoxLayout()
        self.head.addWidget(self.heading, 1)
        self.column.addLayout(self.head)
        self.column.addWidget(self.state)
        self.column.addLayout(self.grid)
        # Not Maximum: what wraps beside the fields takes more than the hint of the height, and would be cut.
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)

    def add_row(self, *widgets: QWidget) -> None:
        """Add one widget over the whole width, or two side by side; refusals of fields have room below."""
        row = self.grid.rowCount()
        self._placed += widgets
        fields = [widget for widget in widgets if isinstance(widget, Field)]
        if fields:
            self.grid.addWidget(room_under(fields, self), row + 1, 0, 1, 2)
        else:
            self.grid.setRowMinimumHeight(row + 1, _BETWEEN_ROWS)
        if len(widgets) == 1:
            self.grid.addWidget(widgets[0], row, 0, 1, 2)
            return
        for column, widget in enumerate(widgets):
            self.grid.addWidget(widget, row, column, Qt.AlignmentFlag.AlignTop)

    def take_row(self, widget: QWidget) -> None:
        """Take a row of one widget out, with what was kept free below it; the widget itself stays."""
        self._placed.remove(widget)
        row = cast("tuple[int, ...]", self.grid.getItemPosition(self.grid.indexOf(widget)))[0]
        self.grid.removeWidget(widget)
        self.grid.setRowMinimumHeight(row + 1, 0)
        if isinstance(widget, Field) and widget.room is not None:
            self.grid.removeWidget(widget.room)
            widget.room.deleteLater()

    def explain(self, page: str) -> None:
        """Let F1 and a mark beside the heading open a page of the manual."""
        lead_to(self, page)
        self.head.addWidget(HelpMark(self), 0, Qt.AlignmentFlag.AlignTop)

    def stand_under_a_head(self) -> None:
        """Leave the heading to a head above, and say what is missing below, in room kept free."""
        self.heading.hide()
        self.column.setContentsMargins(16, 4, 16, 4)
        self.column.setSpacing(0)
        self._keeps_room = True
        if self.grid.indexOf(self.state) < 0:
            self.column.removeWidget(self.state)
            self.column.addWidget(self.state)
        self.say(self.state.text())

    def say(self, words: str) -> None:
        """Say in one line what is missing; '' takes it away."""
        self.state.setText(words)
        self.state.setVisible(self._keeps_room or bool(words))
        if self._keeps_room:
            self.state.setMinimumHeight(self.state.fontMetrics().height() + 1)

    def refresh(self) -> None:
        """Show the plan as it is now."""
        raise NotImplementedError

    def half_said(self) -> str:
        """Return what lacks of something typed in part, so that the plan has nothing of it; '' as a rule."""
        return ""

    def lacking_input(self, refused: QWidget | None = None) -> QWidget | None:
        """Return where what is refused, else what `half_said` names, is typed, not folded away."""
        return refused or self.first_input()

    def blank(self) -> None:
        """Forget what is typed or chosen: what belonged to another plan must not become part of this one."""
        for field in self.findChildren(Field):
            field.blank()
        self.say("")

    def blank_if_gone(self, held: object) -> bool:
        """Return whether the plan holds none of it; what was shown of one that it held is forgotten."""
        if held is None and self.held:
            self.blank()
        self.held = held is not None
        return not self.held

    def input_of(self, _field: str) -> QWidget | None:
        """Return the input of one field by its key; a section without such keys begins at its first."""
        return self.first_input()

    def first_input(self) -> QWidget | None:
        """Return where typing begins."""
        fields = [widget for widget in self._placed if isinstance(widget, Field) and not widget.isHidden()]
        if fields:
            return fields[0].input
        return self.findChild(QComboBox)
