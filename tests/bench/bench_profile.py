"""Time of one redraw of the profile: the call itself, and the call with painting.

Processor time is printed beside wall time: it stays true on a machine that is busy with other work.

Run from the top of the checkout: ``python -m tests.bench.bench_profile [samples]``.
"""

import os
import sys
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("PYQTGRAPH_QT_LIB", "PySide6")

import numpy as np
from PySide6.QtWidgets import QApplication

from planner.desk.profile.panel import ProfilePanel
from tests.bench.profile_scene import build

ROUNDS = 120


def main(samples: int) -> None:
    """Print medians [ms]."""
    application = QApplication.instance() or QApplication([])
    panel = ProfilePanel()
    panel.resize(1040, 340)
    panel.show()
    scenes = [build(samples, lift_ft) for lift_ft in range(0, 40, 5)]
    calls, paints = [], []
    for number in range(ROUNDS):
        scene = scenes[number % len(scenes)]
        begun = now()
        panel.show_assessment(scene)
        called = now()
        application.processEvents()
        calls.append(called - begun)
        paints.append(now() - begun)
    for name, times in (("show_assessment", calls[10:]), ("with painting", paints[10:])):
        wall_ms, processor_ms = np.median(np.array(times), axis=0) * 1e3
        print(f"{name}: {samples} samples, median {wall_ms:.2f} ms wall, {processor_ms:.2f} ms processor")


def now() -> np.ndarray:
    """Return wall and processor time [s]."""
    return np.array([time.perf_counter(), time.process_time()])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3200)
