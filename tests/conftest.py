"""What every test stands on: no screen, no sandbox for root, no file outside a temporary folder."""

import os
import threading
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest
from hypothesis import settings

from planner.browser_engine import refuses_this_user, spare_shared_memory

REPO = Path(__file__).resolve().parent.parent

# Qt reads these once, when it is first imported.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_API", "pyside6")
os.environ.setdefault("PYQTGRAPH_QT_LIB", "PySide6")
if refuses_this_user():
    # Root, that is. The program itself never turns the sandbox off.
    os.environ["QTWEBENGINE_DISABLE_SANDBOX"] = "1"
spare_shared_memory()
# How long an example takes says something of the machine: timings are the matter of tests/bench.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(scope="session")
def repo() -> Path:
    """Return the top of the checkout."""
    return REPO


@pytest.fixture(scope="session")
def shared_data(repo: Path) -> Path:
    """Return the folder of real sample data that lies beside some checkouts."""
    folder = (repo / ".." / "shared" / "data").resolve()
    if not folder.is_dir():
        pytest.skip("the sample data is not here: ../shared/data beside the checkout")
    return folder


@pytest.fixture(scope="session")
def _new_state_dir(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Path]:
    # Numbered here: pytest looks through the folders of all tests before for the next number.
    states, numbers = tmp_path_factory.mktemp("states"), count()

    def made() -> Path:
        folder = states / str(next(numbers))
        folder.mkdir()
        return folder

    return made


@pytest.fixture(autouse=True)
def state_dir(_new_state_dir: Callable[[], Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep settings, recovery files and caches of the program and of Qt inside a temporary folder."""
    folder = _new_state_dir()
    monkeypatch.setenv("LOWLINE_STATE_DIR", str(folder))
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(folder / name.lower()))
    return folder


@pytest.fixture(autouse=True)
def _no_thread_outlives_its_test() -> Iterator[None]:
    before = set(threading.enumerate())
    yield
    left = [thread for thread in threading.enumerate() if thread not in before and not thread.daemon]
    for thread in left:
        # On a busy machine the map's last picture of the ground takes long; a thread that is left never ends.
        thread.join(timeout=30)
    assert not [thread.name for thread in left if thread.is_alive()]
