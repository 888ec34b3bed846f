"""What is to be clicked on the map: for a tool when it is chosen, for a figure click by click."""

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
TOOL_GUIDE: Final = {
    "path": "Path: click point after point; Enter or a double click ends it, Escape drops it",
    "area": "Area: click its corners; Enter or a double click closes it, Escape drops it",
    "closure": "Closure: click its corners, then Enter; one alone is the centre of a circle",
    "beneath": "Beneath: a click and Enter is a spot, several are a line, back on the first an area",
    "standing": "Where the crew may stand: click the corners, then Enter",
    "launch": "Launch: click where the aircraft takes off",
    "landing": "Landing: click where it lands",
    "return_point": "Return point: click where it returns to by itself",
}
PLACED_GUIDE: Final = {
    "launch": "Launch is placed: pull it to move it",
    "landing": "Landing is placed: pull it to move it",
    "return_point": "Return point is placed: pull it to move it",
    "crew": "Placed: pull somebody to move them",
}
ENTERING_GUIDE: Final = "Say in the form what was drawn; it is marked on the map, and not in the plan yet"
