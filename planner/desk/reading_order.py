"""Tab goes through a form as it is read: by its layouts, whatever was made first."""

from collections.abc import Iterator
from itertools import pairwise
from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QGridLayout, QLayout, QScrollArea, QWidget


def in_reading_order(widget: QWidget) -> Iterator[QWidget]:
    """Yield what the keyboard can reach inside a widget, hidden parts too, as its layouts lay it out."""
    if isinstance(widget, QScrollArea):
        page = widget.widget()
        if page is not None:
            yield from in_reading_order(page)
        return
    layout = widget.layout()
    if layout is not None:
        yield from _of_layout(layout)


def put_in_reading_order(widget: QWidget, known: tuple[QWidget, ...] = ()) -> tuple[QWidget, ...]:
    """Let Tab follow the layouts of a widget; return the order, done already if it is the one known."""
    order = tuple(in_reading_order(widget))
    if order != known:
        for one, other in pairwise(order):
            QWidget.setTabOrder(one, other)
    return order


def _of_layout(layout: QLayout) -> Iterator[QWidget]:
    for index in _indices(layout):
        item = layout.itemAt(index)
        inner, widget = (item.layout(), item.widget()) if item is not None else (None, None)
        if inner is not None:
            yield from _of_layout(inner)
        elif widget is not None:
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and not isinstance(widget, QScrollArea):
                yield widget
            if not isinstance(widget, QComboBox):
                yield from in_reading_order(widget)


def _indices(layout: QLayout) -> list[int]:
    indices = range(layout.count())
    if not isinstance(layout, QGridLayout):
        return list(indices)
    grid = layout
    return sorted(indices, key=lambda index: _cell(grid, index))


def _cell(grid: QGridLayout, index: int) -> tuple[int, int]:
    row, column, _rows, _columns = cast("tuple[int, int, int, int]", grid.getItemPosition(index))
    return row, column
