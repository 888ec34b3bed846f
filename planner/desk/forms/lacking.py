"""Where something half said is gone on with."""

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField, Field, TextField


def is_filled(field: Field) -> bool:
    """Whether anything is typed or chosen in a field."""
    if isinstance(field, TextField):
        return bool(field.edit.text().strip())
    return isinstance(field, ChoiceField) and field.value() is not None


def where_it_lacks(fields: Sequence[Field]) -> QWidget:
    """Return the input of the first field that can't be read, else of the first empty one, else the first."""
    refused = (field for field in fields if field.has_trouble)
    empty = (field for field in fields if not is_filled(field))
    return next(refused, next(empty, fields[0])).input
