"""What is to be clicked next, for a figure that is laid out on the map."""

from typing import Final

from planner.plan.figures import FigureKind

_LAST: Final = "Click the place to break off to, or press Enter to go without one"
GUIDE: Final = {
    FigureKind.DIVE: ("Click where the dive begins, at its top", "Click where it reaches its bottom", _LAST),
    FigureKind.ORBIT: (
        "Click what is flown round",
        "Click where the orbit begins: as far out as it is to be flown",
        _LAST,
    ),
    FigureKind.GAP: ("Click the opening", "Click where the run at it begins", _LAST),
    FigureKind.PASS: ("Click what is passed", "Click where the pass begins", _LAST),
}
