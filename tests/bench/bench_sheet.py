"""How long a sheet takes: three pages as PDF, and the preview after an edit.

Run from the top of the checkout: ``python -m tests.bench.bench_sheet``. Processor time stands beside wall
time: it stays true on a machine that is busy with other work.
"""

import time
from collections.abc import Callable
from itertools import count

import numpy as np

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.briefing import briefing_pdf, values_of
from planner.briefing.typesetting import typeset, typeset_pictures
from planner.chart_folders import known_chart_sets
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from tests.conftest import REPO

MISSIONS = ("mast_dive_part107", "long_ridge_small_quad")
ROUNDS = 5
NUMBERS = count()


def main() -> None:
    """Print medians [ms]."""
    for mission in MISSIONS:
        plan = read_plan(REPO / "demo_missions" / f"{mission}.lowline.geojson")
        answer = assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets()))
        briefing_pdf(answer)
        for what, work in (
            ("three pages as PDF (wanted: at most 1 s)", three_pages),
            ("page 1 of the preview after an edit (wanted: at most 0.3 s)", first_page_seen),
            ("all of the preview after an edit", all_pages_seen),
        ):
            wall_ms, processor_ms = np.median([timed(work, answer) for _ in range(ROUNDS)], axis=0) * 1e3
            print(f"{mission}, {what}: median {wall_ms:.0f} ms wall, {processor_ms:.0f} ms processor")


def three_pages(answer: Assessment) -> None:
    """Set the sheet; its title is another each time, so nothing is remembered."""
    typeset({**values_of(answer, "letter"), "title": f"{next(NUMBERS)}"}, None)


def first_page_seen(answer: Assessment) -> None:
    """Draw the observer's page as the preview does first."""
    typeset_pictures({**values_of(answer, "letter", front_only=True), "title": f"{next(NUMBERS)}"}, 96.0)


def all_pages_seen(answer: Assessment) -> None:
    """Draw what follows it."""
    typeset_pictures({**values_of(answer, "letter"), "title": f"{next(NUMBERS)}"}, 96.0)


def timed(work: Callable[[Assessment], None], answer: Assessment) -> tuple[float, float]:
    """Return wall and processor time [s] of a piece of work."""
    wall, processor = time.perf_counter(), time.process_time()
    work(answer)
    return time.perf_counter() - wall, time.process_time() - processor


if __name__ == "__main__":
    main()
