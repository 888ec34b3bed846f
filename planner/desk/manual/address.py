"""Which page of the manual tells of a widget: a property, asked upwards from where F1 was pressed."""

from PySide6.QtWidgets import QWidget

from planner.desk.manual.anchors import FIRST

_PROPERTY = "manual"


def lead_to(widget: QWidget, address: str) -> None:
    """Say where the manual tells of a widget.

    A page, 'page#anchor', or '#anchor' on the page of whatever holds the widget.
    """
    widget.setProperty(_PROPERTY, address)


def address_of(widget: QWidget | None) -> str:
    """Return where the manual tells of a widget, or of the nearest one that holds it; its first page else."""
    anchor = ""
    while widget is not None:
        told = widget.property(_PROPERTY) or ""
        page, _, own = told.partition("#")
        anchor = anchor or own
        if page:
            return f"{page}#{anchor}" if anchor else page
        widget = widget.parentWidget()
    return FIRST
