"""The same sweep compiled, where numba is installed (extra `fast`)."""

import math
from collections.abc import Callable
from functools import lru_cache
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.sight.sweep import Side, swept


def quickest_sweep() -> Callable[[Side], None]:
    """Return the compiled sweep where the compiler is installed, else the plain one.

    The first call compiles for some seconds, or reads what an earlier one kept.
    """
    return compiled_sweep() if find_spec("numba") else swept


@lru_cache(maxsize=1)
def compiled_sweep() -> Callable[[Side], None]:
    """Return the compiled sweep.

    Raises
    ------
    ImportError
        If numba is not installed.
    """
    import numba

    single = numba.float32
    signature = numba.void(single[:, ::1], single[:, :], numba.float64, numba.float64, *[numba.int64] * 4)
    run: Any = numba.njit(signature, cache=True, nogil=True, fastmath=False)(_sweep)

    def sweep(side: Side) -> None:
        run(side.above_eye_m, side.lowest_m, side.line0, side.across0, side.cells, *side.lines())

    return sweep


def _sweep(  # noqa: PLR0913 - a compiled function takes plain values
    above_eye_m: NDArray[np.float32],
    lowest_m: NDArray[np.float32],
    line0: float,
    across0: float,
    cells: int,
    first: int,
    last: int,
    step: int,
) -> None:
    rays = 2 * cells + 1
    horizon = np.full(rays, np.float32(-np.inf), dtype=np.float32)
    for line in range(first, last, step):
        away = abs(line - line0)
        heights = above_eye_m[line]
        begin = math.ceil(across0 - away)
        end = math.floor(across0 + away) + 1
        per_cell = cells / away
        for across in range(begin, end):
            ray = int((across - across0) * per_cell + (cells + 0.5))
            lowest = horizon[min(max(ray, 0), rays - 1)] * np.float32(away) - heights[across]
            lowest_m[line, across] = np.float32(0.0) if lowest < np.float32(0.0) else lowest
        lean, part = np.float32(away / cells), np.float32(1.0 / away)
        start = np.float32(across0)
        for ray in range(rays):
            place = np.float32(ray - cells) * lean + start
            node = int(place)
            near = heights[node]
            rise = (near + (heights[node + 1] - near) * (place - np.float32(node))) * part
            # Written so that an unknown height makes all behind it unknown.
            if not rise <= horizon[ray] and not math.isnan(horizon[ray]):
                horizon[ray] = rise
