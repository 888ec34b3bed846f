"""The patterns in which a stretch of the path is drawn, on paper and on screen."""

from enum import IntEnum


class Pattern(IntEnum):
    """How a stretch is drawn, lightest first."""

    CLEAR = 0
    BRIEF = 1
    ACT = 2
    UNKNOWN = 3
    STOP = 4


PATTERN_WORDS = {
    Pattern.CLEAR: "nothing against it there",
    Pattern.BRIEF: "briefly hidden, your own limit",
    Pattern.ACT: "something to do first",
    Pattern.UNKNOWN: "cannot be judged",
    Pattern.STOP: "must change",
}
