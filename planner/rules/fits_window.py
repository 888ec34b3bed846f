"""A rule on a flight that takes longer than its window: beyond it nothing is judged."""

from collections.abc import Iterator

import numpy as np

from planner.rules.case import Case
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, clock


@in_each_wind
def fits_window(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the path takes longer than the window, an act where it may in the wind."""
    flight, window = case.flight, case.plan.window
    if flight is None or window is None or not len(flight.motion.late_s):
        return
    window_s = (window.end_utc - window.start_utc).total_seconds()
    duration_s, late_s = flight.motion.duration_s, float(flight.motion.late_s[-1])
    if np.isfinite(duration_s) and duration_s > window_s:
        mark, takes_s, when = Mark.UNKNOWN, duration_s, ""
    elif np.isfinite(late_s) and late_s > window_s:
        mark, takes_s, when = Mark.ACT, late_s, " against the least helpful wind"
    else:
        return
    yield Finding(
        rule="longer-than-window",
        mark=mark,
        basis=Basis.SAFETY,
        title="The flight does not fit into its window",
        message=(
            f"The path takes {clock(takes_s)}{when}; the window lasts {clock(window_s)}. Light, airspace, "
            "permissions and data are judged for the window only."
        ),
        citation=COMMON_PRACTICE,
        remedy="make the window longer, or the flight shorter",
        numbers={"duration_s": takes_s, "window_s": window_s},
    )


RULES = (fits_window,)
