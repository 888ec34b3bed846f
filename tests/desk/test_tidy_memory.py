"""Free memory goes back while the desk rests (our own rule: issue 8, a day's use)."""

import threading

from planner.desk import tidy_memory
from planner.desk.tidy_memory import TidyMemory
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
