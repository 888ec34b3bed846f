"""What can be tried to fix a plan."""

from enum import Enum
from typing import Final


class FixKind(Enum):
    """What can be tried."""

    LEAST = "lowest-change"
    LOWER = "lower-path"
    SINK = "sink-line"
    BEND = "bend-path"
    AREA = "lower-area"


FIX_WORDS: Final = {
    FixKind.LEAST: (
        "The lowest change",
        "of the others, alone or together: what leaves nothing wrong and moves the path least",
    ),
    FixKind.LOWER: ("Lower the path", "to the ceiling less your margin, where it is above that"),
    FixKind.SINK: ("Sink line", "a level run over falling ground becomes one that only sinks"),
    FixKind.BEND: ("Bend the path", "round airspace that is closed or not permitted, and round guy wires"),
    FixKind.AREA: ("Lower the area's top", "to the height limit less your margin"),
}
