"""How long the desk does not answer: the longest pause between two beats of a timer, for each thing done.

Beside the pause stands the most that the desk's own thread computed between two beats: on a busy machine a
pause is longer than the work. Each thing is done twice; the second time nothing is imported any more::

    python -m tests.bench.bench_blocks [mission]        (on a screen, or under xvfb-run)
"""

import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from itertools import cycle
from pathlib import Path
from typing import TYPE_CHECKING

from planner.locate import demo_missions_dir

if TYPE_CHECKING:
    from planner.desk.desk import Desk

_SETTLED_MS = 1_200
_AIM_MS = 100.0


def main(mission: str) -> None:
    """Print the pauses, the longest first."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOWLINE_STATE_DIR"] = folder
        file = Path(shutil.copy(demo_missions_dir() / f"{mission}.lowline.geojson", folder))
        from planner.desk.app import make_application

        _application = make_application()
        _measure(file)


def _measure(file: Path) -> None:
    from planner.desk.desk import Desk
    from tests.desk.heart import Heart
    from tests.desk.test_reach import shut_all

    desk = Desk(None, None)
    desk.show_map_first(file)
    _wait(8_000)
    assert desk.window.side is not None
    heart, found = Heart(), []
    for what, do in _things(desk, file).items():
        pauses = []
        for _ in range(2):
            heart.begin()
            do()
            _wait(_SETTLED_MS)
            pauses += [heart.pause_ms, heart.work_ms]
            shut_all()
            _wait(200)
        found.append((what, *pauses))
    print(f"{'[ms]':24s}   first  worked   again  worked")
    for what, *pauses in sorted(found, key=lambda row: -row[4]):
        figures = "".join(f"{pause:8.0f}" for pause in pauses)
        print(f"{what:24s}{figures}{' !' if pauses[3] > _AIM_MS else ''}")
    os._exit(0)


def _things(desk: "Desk", file: Path) -> dict[str, Callable[[], object]]:
    from PySide6.QtWidgets import QApplication

    from planner.desk.preferences_door import dress
    from planner.plan import edits
    from planner.settings import Settings
    from tests.desk.test_reach import ways_in

    window, document = desk.window, desk.document
    places = cycle(point.place for point in document.plan.path[1:3])
    looks = iter((Settings(appearance="dark"), Settings()))
    return {
        "nothing": lambda: None,
        **ways_in(desk),
        "move a point": lambda: document.try_edit(edits.MovePoint(0, next(places))),
        "undo": lambda: document.undo_stack.undo(),
        **{f"tab {name}": window.menu_actions[f"show_{name}"].trigger for name in ("points", "plan")},
        "height allowed": window.popup.switches["allowed"].click,
        "what is seen": window.popup.switches["seen"].click,
        "fit the plan": window.menu_actions["fit_plan"].trigger,
        "another look": lambda: (dress(QApplication.instance(), next(looks)), window._redress()),
        "open": lambda: window.commands.open_path(file),
    }


def _wait(ms: int) -> None:
    from PySide6.QtCore import QEventLoop, QTimer

    loop = QEventLoop()
    QTimer.singleShot(ms, loop.quit)
    loop.exec()


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "canyon_video_breaks")
