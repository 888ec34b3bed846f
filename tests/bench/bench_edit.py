"""One edit on the whole desk: from the edit to every panel drawn anew, map message included.

The plan of `bench_live`, a path of about 5 km over the demo island, on a real window::

    python -m tests.bench.bench_edit [edits]        (on a screen, or under xvfb-run)
"""

import os
import statistics
import sys
import tempfile
import time
from itertools import islice
from pathlib import Path

from planner.plan.file import write_plan
from planner.plan.geometry import LegShape
from tests.bench.bench_live import course_plan, drags


def main(count: int) -> None:
    """Print the median and the longest, by part."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOWLINE_STATE_DIR"] = folder
        _measure(count)


def _measure(count: int) -> None:
    from PySide6.QtCore import QEventLoop, QTimer

    from planner.desk.app import make_application
    from planner.desk.desk import Desk

    application = make_application()
    file = Path(os.environ["LOWLINE_STATE_DIR"]) / "long.lowline.geojson"
    write_plan(course_plan(LegShape.FOLLOW_GROUND, with_area=False), file)
    desk = Desk(None, None)
    desk.show_map_first(file)
    loop = QEventLoop()
    QTimer.singleShot(8000, loop.quit)
    loop.exec()
    assert desk.window.side is not None
    assert not desk.document.checking
    edited_ms, drawn_ms = [], []
    for edit in islice(drags(desk.document.plan), count):
        start = time.perf_counter()
        assert desk.document.try_edit(edit)
        edited_ms.append((time.perf_counter() - start) * 1e3)
        application.processEvents()
        desk.window.profile_view.panel.repaint()
        drawn_ms.append((time.perf_counter() - start) * 1e3)
    for words, times in (("edit judged and panels told", edited_ms), ("all drawn", drawn_ms)):
        print(f"{words:28s} {statistics.median(times):6.1f} ms   (longest {max(times):.1f})")
    desk.window._closing = True
    desk.window.close()
    desk.close()
    os._exit(0)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
