"""A hand on forms and menus: types into a field, chooses a value or an entry."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest


def open_all_parts(form):
    """Click the line that opens every part of the plan's form."""
    assert form.all.text().startswith("Open all")
    QTest.mouseClick(form.all, Qt.MouseButton.LeftButton)
    assert all(drawer.is_open for drawer in form.drawers.values())


def type_into(field, text):
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClicks(field.edit, text)
    QTest.keyClick(field.edit, Qt.Key.Key_Return)


def choose(field, value):
    index = field._values.index(value)
    field.box.setCurrentIndex(index)
    field.box.activated.emit(index)


def choose_entry(menu, *texts):
    """Choose an entry, or one of an entry's own list, by mouse."""
    menu.popup(QPoint(0, 0))
    action = next(one for one in menu.actions() if one.text().startswith(texts[0]))
    if len(texts) > 1:
        choose_entry(action.menu(), *texts[1:])
        menu.hide()
        return
    QTest.mouseClick(menu, Qt.MouseButton.LeftButton, pos=menu.actionGeometry(action).center())
