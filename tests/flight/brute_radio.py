"""The loss over terrain by brute force: another reading of the same recommendation.

Every tenth of a metre of each straight line, every hundredth near its ends,
one line at a time, in slopes as the recommendation writes them; nothing is
shared with the program but the ground.
"""

import math

import numpy as np

from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

LIGHT = 299_792_458.0
EARTH_M = 8_500_000.0


def edge_db(v: float) -> float:
    if v <= -0.78:
        return 0.0
    return 6.9 + 20 * math.log10(math.sqrt((v - 0.1) ** 2 + 1) + v - 0.1)


def slow_terrain_db(
    ground: PlaneTerrain, antenna: tuple[float, float, float], track: Track, sample: int, mhz: float
) -> tuple[float, float]:
    """Return the loss over all edges [dB] and the least clearance in Fresnel radii of one sample."""
    x0, y0, h0 = antenna
    x1, y1, h1 = float(track.x_m[sample]), float(track.y_m[sample]), float(track.planned_amsl_m[sample])
    total = math.hypot(x1 - x0, y1 - y0)
    wave = LIGHT / (mhz * 1e6)
    close = np.arange(0.01, min(60.0, total), 0.01)
    d1 = np.concatenate([np.arange(0.1, total, 0.1), close, total - close])
    d2 = total - d1
    height = ground.ground(x0 + (x1 - x0) * d1 / total, y0 + (y1 - y0) * d1 / total)
    height = height + d1 * d2 / (2 * EARTH_M)
    steepest_hub = float(((height - h0) / d1).max())
    steepest_end = float(((height - h1) / d2).max())
    line = (h0 * d2 + h1 * d1) / total
    least = float(((line - height) / np.sqrt(wave * d1 * d2 / total)).min())
    if steepest_hub <= (h1 - h0) / total:
        loss = edge_db(-least * math.sqrt(2))
    else:
        meet = (h1 - h0 + steepest_end * total) / (steepest_hub + steepest_end)
        above = h0 + steepest_hub * meet - (h0 * (total - meet) + h1 * meet) / total
        loss = edge_db(above * math.sqrt(2 * total / (wave * meet * (total - meet))))
    return loss + (1 - math.exp(-loss / 6)) * (10 + 0.02 * total / 1000), least
