"""How soon the desk is there, beside a bare map window of pyqtlet2; and an edit to all panels drawn anew.

Each start is a process of its own, the two kinds in turn, timed from the interpreter's first line::

    python -m tests.bench.bench_desk [pairs]        (on a screen, or under xvfb-run)

"Map usable" is a page that is up in a window on screen; "in place" is when the tools draw; "profile" is
when the plan's charts are read and its profile has been painted.
"""

import json
import statistics
import subprocess
import sys

_BARE = """
import time; start = time.perf_counter()
import json, os, sys
os.environ["QT_API"] = "pyside6"
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QApplication, QMainWindow
QCoreApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
from pyqtlet2 import MapWidget
application = QApplication([])
window = QMainWindow()
window.resize(1400, 900)
window.setCentralWidget(MapWidget())
window.show()
application.processEvents()
print(json.dumps({"map": time.perf_counter() - start}), flush=True)
os._exit(0)
"""

_DESK = """
import time; start = time.perf_counter()
import json, os, sys
from planner import cli
from planner.desk import desk as desk_module

seen = {}
def look(desk, plan_path):
    from PySide6.QtCore import QTimer
    watch = QTimer(desk.window)
    watch.timeout.connect(lambda: note(desk.window))
    watch.start(2)
    show(desk, plan_path)

def note(window):
    now = time.perf_counter() - start
    canvas = window.canvas
    if canvas is not None and canvas.is_ready and canvas.isVisible():
        seen.setdefault("map", now)
    if window.map_view is not None:
        seen.setdefault("in place", now)
    if window.profile_view is not None and not window.document.reading:
        panel = window.profile_view.panel
        if panel.isVisible() and window.document.assessment.profile is not None:
            if "profile" not in seen:
                panel.grab()
                seen["profile"] = time.perf_counter() - start
    if len(seen) == 3:
        print(json.dumps(seen), flush=True)
        os._exit(0)

show = desk_module.Desk.show_map_first
desk_module.Desk.show_map_first = look
cli.main([sys.argv[1]])
"""

_PLAN = "demo_missions/ridge_line.lowline.geojson"


def _one(script: str) -> dict[str, float]:
    done = subprocess.run(
        [sys.executable, "-c", script, _PLAN], capture_output=True, text=True, timeout=60, check=False
    )
    lines = done.stdout.splitlines()
    if not lines:
        raise SystemExit(f"a window did not come up:\n{done.stderr}")
    return json.loads(lines[-1])


def main(pairs: int) -> None:
    """Start both in turn and print medians and the span."""
    _one(_BARE), _one(_DESK)  # so that both find their files in the system's cache
    rows = [("bare window, map", "map", _BARE, [])]
    rows += [(f"desk, {key}", key, _DESK, []) for key in ("map", "in place", "profile")]
    for _ in range(pairs):
        seconds = {_BARE: _one(_BARE), _DESK: _one(_DESK)}
        for _words, key, script, found in rows:
            found.append(seconds[script][key])
    for words, _key, _script, found in rows:
        print(f"{words:18s} {statistics.median(found):5.2f} s   ({min(found):.2f} to {max(found):.2f})")
    ratio = statistics.median(rows[1][3]) / statistics.median(rows[0][3])
    later = statistics.median(rows[3][3]) - statistics.median(rows[1][3])
    print(f"map {ratio:.2f} x the bare window; profile {later:.2f} s after the map")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
