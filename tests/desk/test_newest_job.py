"""Work beside the desk: the newest counts, errors are told, nobody waits for ever."""

import threading

import pyproj
import pytest
import shiboken6

from planner.desk.newest_job import NewestJob
from planner.errors import ChartError


@pytest.fixture
def job(qtbot):
    made = NewestJob("it went wrong")
    yield made
    made.stop()


def fail(error):
    raise error


def test_only_the_newest_of_many_is_heard_and_those_between_are_never_begun(qtbot, job):
    gate, begun, heard = threading.Event(), [], []
    job.done.connect(lambda answer, trouble: heard.append((answer, trouble)))
    job.start(lambda: (begun.append(0), gate.wait(10), 0)[-1])
    qtbot.waitUntil(lambda: begun == [0])
    for number in range(1, 5):
        job.start(lambda number=number: (begun.append(number), number)[-1])
    gate.set()
    qtbot.waitUntil(lambda: bool(heard))
    qtbot.wait(50)
    assert heard == [(4, "")]
    assert begun == [0, 4]


def test_an_expected_error_speaks_for_itself(qtbot, job):
    with qtbot.waitSignal(job.done) as told:
        job.start(lambda: fail(ChartError("it is damaged", where="hills.tif")))
    assert told.args == [None, "hills.tif: it is damaged"]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_an_unexpected_error_is_told_too_and_the_next_work_is_done(qtbot, job):
    with qtbot.waitSignal(job.done) as told:
        job.start(lambda: fail(ZeroDivisionError()))
    assert told.args == [None, "it went wrong"]
    with qtbot.waitSignal(job.done) as told:
        job.start(lambda: 7)
    assert told.args == [7, ""]


def test_what_was_stopped_is_not_heard(qtbot, job):
    heard = []
    job.done.connect(lambda answer, trouble: heard.append(answer))
    job.start(lambda: 7)
    job.stop()
    qtbot.wait(50)
    assert heard == []


def test_projections_made_in_one_job_serve_the_next(qtbot, job):
    # pyproj 3.7 keeps its context by the system's thread; on a thread of Qt's pool this crashed.
    made = []

    def work():
        made.append(pyproj.Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True))
        return [transformer.transform(-150.0, 37.0)[0] for transformer in made]

    for count in range(1, 6):
        with qtbot.waitSignal(job.done) as told:
            job.start(work)
        # Web Mercator's x is the longitude in radians times 6378137 m (EPSG:3857).
        assert told.args[0] == pytest.approx([-16697923.62] * count, abs=0.01)


def test_an_answer_that_comes_after_its_asker_has_gone_is_dropped_in_silence(qtbot):
    go_on = threading.Event()
    job = NewestJob("trouble")
    job.start(lambda: go_on.wait(10))
    worker = job._thread
    shiboken6.delete(job._answers)
    shiboken6.delete(job)
    go_on.set()
    worker.join(10)
    assert not worker.is_alive()
