"""What a strip under the profile is: intervals with words, each in a tone and a pattern; no Qt."""

from enum import Enum, StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment

Floats = NDArray[np.float64]


class Pattern(Enum):
    """How an interval is filled, so that its tone never speaks alone."""

    PLAIN = "plain"
    DOTTED = "dotted"
    UPRIGHT = "upright"
    LEVEL = "level"
    SLANTED = "slanted"
    LEANING = "leaning"
    CROSSED = "crossed"
    SQUARED = "squared"


class Tone(StrEnum):
    """What an interval's colour stands for."""

    QUIET = "quiet"
    GOOD = "good"
    GRANTED = "granted"
    ASK = "ask"
    WARN = "warn"
    STOP = "stop"
    UNKNOWN = "unknown"


@attrs.frozen
class Interval:
    """A stretch of the path [m] with a few words, and fewer for little room."""

    from_m: float
    to_m: float
    text: str
    short: str = ""
    pattern: Pattern = Pattern.PLAIN
    tone: Tone = Tone.QUIET


@attrs.frozen(eq=False)
class Curve:
    """A figure along the path, drawn into its strip: shares of the strip's height (n,) at distances (n,) [m].

    `level` is where the line lies under which it must not fall.
    """

    distance_m: Floats
    share: Floats
    level: float


@attrs.frozen
class Strip:
    """One question's answers along the path, in order; `curve` is the figure behind them."""

    name: str
    intervals: tuple[Interval, ...]
    curve: Curve | None = attrs.field(default=None, eq=False)


def waiting(name: str, assessment: Assessment) -> Strip:
    """Return a strip that keeps its place while its answer is awaited, so that the plot does not jump."""
    length_m = assessment.track.length_m if assessment.track is not None else 0.0
    return Strip(name, (Interval(0.0, length_m, "checking", "", Pattern.PLAIN, Tone.UNKNOWN),))
