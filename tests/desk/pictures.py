"""Makes the README's picture of the desk: a real window on a demo mission, from the top of the checkout.

Run ``python -m tests.desk.pictures`` on a screen or under xvfb-run. It keeps its state in a scratch folder.
"""

import os
import sys
import tempfile
from pathlib import Path

from planner.locate import demo_missions_dir, resources_dir

MISSION = "under_the_shelf.plan.geojson"
_SIZE = (1400, 900)
_AT_MOST_MS = 30_000
_DRAWN_MS = 3_000


def main(target: Path) -> None:
    """Write the picture."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOWLINE_STATE_DIR"] = folder
        _write(target)


def _write(target: Path) -> None:
    # Imported here: the state folder must be known before.
    from PySide6.QtCore import QEventLoop, QTimer

    from planner.desk.app import make_application
    from planner.desk.desk import Desk

    _application = make_application()
    desk = Desk(None, None)
    desk.window.resize(*_SIZE)
    desk.show_map_first(demo_missions_dir() / MISSION)
    # Not QTest.qWait: it keeps the workers from running.
    loop = QEventLoop()
    looks = QTimer()
    looks.timeout.connect(lambda: desk.window.side is not None and loop.quit())
    looks.start(50)
    QTimer.singleShot(_AT_MOST_MS, loop.quit)
    loop.exec()
    looks.stop()
    assert desk.window.side is not None, "the desk did not come up"
    # The ground, the chart layers and their labels are drawn after the last message.
    QTimer.singleShot(_DRAWN_MS, loop.quit)
    loop.exec()
    shot = desk.window.screen().grabWindow(desk.window.winId())
    assert shot.save(str(target)), f"{target} could not be written"
    desk.window.close()
    desk.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else resources_dir() / "pictures" / "desk.png")
