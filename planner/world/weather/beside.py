"""Groups that are understood and hold nothing to reckon with, and yet matter to whoever flies.

Sources: WMO-No. 306, FM 15 and FM 51 (runway visual range, recent weather, wind shear, cloud that a station
without an observer finds); the United States' forecasts of wind shear, icing and turbulence. All from
memory (C).
"""

import re
from typing import Final

from planner.world.weather import patterns
from planner.world.weather.report import Conditions

_MEANING: Final = (
    (re.compile(r"WS(\d{3})/\d{5}KT"), "wind higher up, with shear below it"),
    (patterns.SHEAR, "wind shear near the ground along a runway"),
    (re.compile(r"5\d{5}"), "turbulence"),
    (re.compile(r"6\d{5}"), "ice on aircraft in cloud"),
    (re.compile(r"R\d{2}[LCR]?/[MP]?\d{4}(?!\d).*"), "visibility along a runway"),
    (re.compile(r"RE.*(?:TS|GR|FZ|FC|SQ).*"), "weather of the hour before"),
    (re.compile(r"/{6}(?:CB|TCU)"), "towering cloud"),
    (re.compile(r"/+(?:KT|MPS|KMH)|/{3}\d+(?:G\d+)?(?:KT|MPS|KMH)"), "no wind measured"),
)


def beside_words(conditions: Conditions) -> tuple[str, ...]:
    """Return the groups that matter and are not reckoned with, each with what it tells of."""
    return tuple(
        f"{group} ({meaning})"
        for group in conditions.passed_over
        for pattern, meaning in _MEANING
        if pattern.fullmatch(group)
    )
