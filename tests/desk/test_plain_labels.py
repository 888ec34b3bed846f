"""No label of the desk reads markup into words: names come from files of others."""

import ast
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

import planner.desk
from planner.desk.plain_label import PlainLabel

_ITSELF = "plain_label.py"


def test_labels_are_made_plain_everywhere(qtbot):
    """Our own rule: a user's text is never read as markup."""
    folder = Path(planner.desk.__file__).parent
    made = [
        (file.name, node.lineno)
        for file in sorted(folder.rglob("*.py"))
        if file.name != _ITSELF
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "QLabel"
    ]
    assert made == []
    parent = QWidget()
    qtbot.addWidget(parent)
    for label in (PlainLabel(parent), PlainLabel("<b>x</b>", parent)):
        assert label.textFormat() is Qt.TextFormat.PlainText
        assert label.parent() is parent
    assert label.text() == "<b>x</b>"
