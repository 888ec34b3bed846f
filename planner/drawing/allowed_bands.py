"""Bands of the layer of allowed heights: their words, tones and patterns; what map and legend share."""

from typing import Final

from planner.drawing.bands import Band, BandPattern

UNKNOWN: Final = 1
NOTHING: Final = 2
ABOVE: Final = 7
FULL: Final = 8

BANDS: Final[dict[int, Band]] = {
    NOTHING: Band("nothing now", (31, 43, 42, 60), (31, 43, 42, 190), BandPattern.SLANTED),
    3: Band("under 100 ft", (36, 80, 168, 130)),
    4: Band("100 to 200 ft", (36, 80, 168, 95)),
    5: Band("200 to 300 ft", (36, 80, 168, 62)),
    6: Band("300 to 380 ft", (36, 80, 168, 32)),
    FULL: Band("380 to 400 ft", (0, 0, 0, 0)),
    ABOVE: Band("above 400 ft", (130, 104, 160, 70), (100, 74, 136, 150), BandPattern.UPRIGHT),
    UNKNOWN: Band("not known", (150, 150, 140, 70), (95, 100, 96, 170), BandPattern.DOTTED),
}
"""By code, in the legend's order. 400 ft, or what uncertain ground leaves of it, is left clear."""
