"""Bands of the layer of what is seen: their words, tones and patterns; patterns as on the strip below."""

from typing import Final

from planner.drawing.bands import Band, BandPattern

SEEN: Final = 1
A_LITTLE_HIGHER: Final = 2
HIGHER: Final = 3
MUCH_HIGHER: Final = 4
UNTRIED: Final = 5
TOO_FAR: Final = 6
UNKNOWN: Final = 7

EDGES_FT: Final = (50.0, 150.0)
"""Between the bands of what is seen only higher."""

BANDS: Final[dict[int, Band]] = {
    SEEN: Band("seen", (60, 140, 116, 70)),
    A_LITTLE_HIGHER: Band(
        "hidden; seen up to 50 ft higher", (160, 58, 40, 45), (120, 40, 28, 120), BandPattern.LEANING
    ),
    HIGHER: Band(
        "hidden; seen 50 to 150 ft higher", (160, 58, 40, 75), (110, 36, 24, 150), BandPattern.CROSSED
    ),
    MUCH_HIGHER: Band(
        "hidden; seen more than 150 ft higher", (96, 40, 30, 120), (60, 22, 16, 150), BandPattern.CROSSED
    ),
    UNTRIED: Band("distance not tried", (36, 80, 168, 50), (36, 80, 168, 170), BandPattern.DOTTED),
    TOO_FAR: Band("too far to be found", (31, 43, 42, 45), (31, 43, 42, 130), BandPattern.LEVEL),
    UNKNOWN: Band("not known", (150, 150, 140, 80), (95, 100, 96, 170), BandPattern.SLANTED),
}
"""By code, in the legend's order."""
