"""Paper tones of the base map as one palette of 256 colours.

A palette keeps the picture small. Land has a few height tints, each in the
same number of tones from ink to paper; water has fewer; one entry is void.
"""

import numpy as np
from numpy.typing import NDArray

from planner.drawing.relief import Pixels

_LAND_TONES = 31
_WATER_TONES = 7
_DARKEST = 0.56
_LOW_LAND = np.array([238.0, 236.0, 226.0])
_HIGH_LAND = np.array([250.0, 248.0, 240.0])
_LAND_INK = np.array([70.0, 60.0, 48.0])
_WATER = np.array([214.0, 223.0, 228.0])
_WATER_INK = np.array([92.0, 108.0, 120.0])
_TINTS = 8
_VOID = 0
_WATER_START = 1
_LAND_START = _WATER_START + _WATER_TONES


def palette() -> NDArray[np.uint8]:
    """Return the (256, 4) red, green, blue, alpha of every entry."""
    colours = np.zeros((256, 4), dtype=np.uint8)
    for tone in range(_WATER_TONES):
        colours[_WATER_START + tone] = _mixed(_WATER_INK, _WATER, tone / (_WATER_TONES - 1))
    for tint in range(_TINTS):
        paper = _LOW_LAND + (_HIGH_LAND - _LOW_LAND) * tint / (_TINTS - 1)
        for tone in range(_LAND_TONES):
            entry = _LAND_START + tint * _LAND_TONES + tone
            colours[entry] = _mixed(_LAND_INK, paper, _DARKEST + (1 - _DARKEST) * tone / (_LAND_TONES - 1))
    return colours


def tone_index(shade: Pixels, ink: Pixels, height_share: Pixels, water: Pixels) -> NDArray[np.uint8]:
    """Return the palette entry of each pixel; NaN shade is void.

    Parameters
    ----------
    shade : 0 (dark) to 1 (bright), 0.5 on the level.
    ink : line ink, 0 to 1.
    height_share : height within the relief, 0 to 1.
    water : share of the pixel that is water, 0 to 1.
    """
    lightness = (1.0 - 1.0 * np.maximum(0.555 - shade, 0.0)) * (1.0 - 0.24 * ink)
    tone = np.rint((lightness - _DARKEST) / (1 - _DARKEST) * (_LAND_TONES - 1))
    tint = np.rint(height_share * (_TINTS - 1))
    land = _LAND_START + np.clip(tint, 0, _TINTS - 1) * _LAND_TONES + np.clip(tone, 0, _LAND_TONES - 1)
    wet = _WATER_START + np.rint((1.0 - 0.55 * ink) * (_WATER_TONES - 1))
    entry = np.where(water > 0.5, wet, land)
    return np.where(np.isfinite(shade), entry, _VOID).astype(np.uint8)


def _mixed(ink: NDArray[np.float64], paper: NDArray[np.float64], share: float) -> list[int]:
    return [*(round(value) for value in ink + (paper - ink) * share), 255]
