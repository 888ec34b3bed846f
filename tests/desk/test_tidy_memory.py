"""Free memory goes back while the desk rests (our own rule: issue 8, a day's use)."""

import threading

from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QDialog, QLineEdit, QVBoxLayout, QWidget

from planner.desk import tidy_memory
from planner.desk.tidy_memory import TidyMemory, put_pictures_away
from planner.plan.edits import SetName
from tests.desk.desk_rig import make_document, settled, small_plan


def test_it_is_given_back_on_a_worker_once_the_desk_has_come_to_rest(qtbot, monkeypatch):
    done_on = []
    monkeypatch.setattr(tidy_memory, "give_back_now", lambda: done_on.append(threading.current_thread()))
    document = make_document()
    tidying = TidyMemory(document)
    tidying.rest.setInterval(60)
    document.replace(small_plan(), None)
    assert document.checking
    settled(qtbot, document)
    for name in ("one (INVENTED)", "two (INVENTED)", "three (INVENTED)"):
        document.try_edit(SetName(name))
    assert done_on == []
    qtbot.waitUntil(lambda: bool(done_on), timeout=10_000)
    qtbot.wait(150)
    assert len(done_on) == 1
    assert done_on[0] is not threading.main_thread()
    tidying.close()
    document.close()


def test_a_closed_window_keeps_no_picture_of_itself_and_opens_again_as_it_was(qtbot):
    desk = QWidget()
    closed, open_still, asked = QDialog(desk), QDialog(desk), QDialog(desk)
    qtbot.addWidget(desk)
    words = QLineEdit("half typed (INVENTED)", closed)
    QVBoxLayout(closed).addWidget(words)
    closed.setModal(True)
    for window in (desk, open_still, closed):
        window.show()
        qtbot.waitExposed(window)
    closed.setGeometry(QRect(70, 90, 430, 210))
    assert closed.backingStore() is not None
    closed.reject()
    put_pictures_away()
    assert closed.backingStore() is None
    assert closed.windowHandle() is None
    assert open_still.isVisible()
    assert open_still.backingStore() is not None
    assert asked.windowHandle() is None
    put_pictures_away()
    closed.open()
    qtbot.waitExposed(closed)
    assert closed.geometry() == QRect(70, 90, 430, 210)
    assert closed.windowHandle().transientParent() is desk.windowHandle()
    assert closed.windowHandle().modality() is Qt.WindowModality.WindowModal
    assert words.text() == "half typed (INVENTED)"
    assert not closed.grab().toImage().isNull()


def test_the_desk_itself_and_what_drops_down_keep_theirs(qtbot):
    desk = QWidget()
    qtbot.addWidget(desk)
    popup = QWidget(desk, Qt.WindowType.Popup)
    for window in (desk, popup):
        window.show()
        window.hide()
    kept = [window.windowHandle() for window in (desk, popup)]
    assert None not in kept
    put_pictures_away()
    assert [window.windowHandle() for window in (desk, popup)] == kept


def test_pictures_are_put_away_once_the_desk_has_come_to_rest(qtbot, monkeypatch):
    monkeypatch.setattr(tidy_memory, "give_back_now", lambda: None)
    document = make_document()
    tidying = TidyMemory(document)
    tidying.rest.setInterval(60)
    desk = QWidget()
    qtbot.addWidget(desk)
    dialog = QDialog(desk)
    dialog.show()
    qtbot.waitExposed(dialog)
    dialog.reject()
    assert dialog.backingStore() is not None
    document.replace(small_plan(), None)
    settled(qtbot, document)
    qtbot.waitUntil(lambda: dialog.backingStore() is None, timeout=10_000)
    tidying.close()
    document.close()
