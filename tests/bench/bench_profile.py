"""Time of one redraw of the profile: the call itself, and the call with painting.

Run from the top of the checkout: ``python -m tests.bench.bench_profile [samples]``.
"""

import os
import statistics
import sys
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("PYQTGRAPH_QT_LIB", "PySide6")

from PySide6.QtWidgets import QApplication

from planner.desk.profile.panel import ProfilePanel
from tests.bench.profile_scene import build

ROUNDS = 120


def main(samples: int) -> None:
    """Print medians and 95th percentiles [ms]."""
    application = QApplication.instance() or QApplication([])
    panel = ProfilePanel()
    panel.resize(1040, 340)
    panel.show()
    scenes = [build(samples, lift_ft) for lift_ft in range(0, 40, 5)]
    calls, paints = [], []
    for number in range(ROUNDS):
        scene = scenes[number % len(scenes)]
        begun = time.perf_counter()
        panel.show_assessment(scene)
        called = time.perf_counter()
        application.processEvents()
        calls.append((called - begun) * 1e3)
        paints.append((time.perf_counter() - begun) * 1e3)
    for name, times in (("show_assessment", calls[10:]), ("with painting", paints[10:])):
        ordered = sorted(times)
        print(
            f"{name}: {samples} samples, median {statistics.median(ordered):.2f} ms,"
            f" 95 % {ordered[int(len(ordered) * 0.95)]:.2f} ms"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3200)
