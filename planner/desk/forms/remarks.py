"""A line under a field about what it holds: nothing is refused, so nothing is marked."""

from planner.desk.fields import Field


def remark(field: Field, words: str) -> None:
    """Say something under a field, '' nothing; where it is refused that goes before."""
    if not field.has_trouble:
        field.error.setText(words)
        field.error.setVisible(bool(words))
