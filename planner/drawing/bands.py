"""Bands of tone and pattern that lie over the map; what map and legend share."""

from enum import Enum

import attrs

Rgba = tuple[int, int, int, int]


class BandPattern(Enum):
    """What lies on a band's tone, so that no meaning hangs on the tone alone."""

    NONE = "none"
    SLANTED = "slanted"
    LEANING = "leaning"
    CROSSED = "crossed"
    UPRIGHT = "upright"
    LEVEL = "level"
    DOTTED = "dotted"


@attrs.frozen
class Band:
    """One band: its words, its tone, its pattern and the pattern's tone."""

    words: str
    fill: Rgba
    mark: Rgba = (0, 0, 0, 0)
    pattern: BandPattern = BandPattern.NONE
