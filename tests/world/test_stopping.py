"""Reading stops at once when nobody waits for it, also inside a library's one long call."""

import threading
import time

import pytest

from planner.errors import ChartError
from planner.geo.progress import Cancelled, Unwatched
from planner.geo.watched_work import watched
from planner.world.store import adding
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import CLASS_D, feature, write_geojson


class Token:
    """Stops when it is told; keeps what it heard."""

    def __init__(self):
        self.stop = threading.Event()
        self.heard = []

    def report(self, share):
        if self.stop.is_set():
            raise Cancelled
        self.heard.append(share)


@pytest.fixture
def slow(monkeypatch):
    """A library that reads for as long as the test wants, in one call."""
    begun, let_go, real = threading.Event(), threading.Event(), adding.read_layers

    def reading(*given):
        begun.set()
        assert let_go.wait(20.0)
        return real(*given)

    monkeypatch.setattr(adding, "read_layers", reading)
    yield begun
    let_go.set()
    for thread in threading.enumerate():
        if thread.name == "lowline-reading":
            thread.join(20.0)


def test_a_long_call_is_left_to_itself_and_the_set_is_as_it_was(tmp_path, slow):
    folder, token = tmp_path / "set", Token()
    create_set(folder, Identity("test", "Test", "INVENTED"))
    before = (folder / "set.json").read_bytes()
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D))
    ended = []

    def add():
        with pytest.raises(Cancelled):
            add_files(folder, [path], Statement(), token)
        ended.append(time.monotonic())

    worker = threading.Thread(target=add)
    worker.start()
    assert slow.wait(20.0)
    token.stop.set()
    worker.join(10.0)
    assert ended, "the stop waited for the library"
    assert (folder / "set.json").read_bytes() == before
    assert not (folder / "charts.gpkg").exists()


def test_what_the_work_gives_and_raises_comes_through():
    def failing(_progress):
        raise ChartError("no such file")

    def counting(progress):
        progress.report(0.5)
        return 7

    token = Token()
    assert watched(counting, token) == 7
    assert 0.5 in token.heard
    assert watched(counting, Unwatched()) == 7
    for progress in (token, Unwatched()):
        with pytest.raises(ChartError, match="no such file"):
            watched(failing, progress)
