"""The least of a function that is one quadratic on each piece of a line."""

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Least:
    """The least clearance and the least clearance over share, arrays (rays,).

    `value_m` lies at `share`; `ratio_m` (clearance divided by the share of
    the line gone) at `ratio_share`. NaN pieces are left out and reported by
    `whole` being False; all NaN gives NaN.
    """

    value_m: Floats
    share: Floats
    ratio_m: Floats
    ratio_share: Floats
    whole: NDArray[np.bool_]


def least_of_pieces(shares: Floats, at_ends: Floats, at_middles: Floats) -> Least:
    """Return the least over all pieces, extrema between the samples included.

    Parameters
    ----------
    shares : (rays, k + 1) borders of the pieces, rising from 0 to 1; pieces
        may have no length.
    at_ends : (rays, k + 1) the function at the borders [m].
    at_middles : (rays, k) the function in the middle of each piece [m].
    """
    begin, length = shares[:, :-1], np.diff(shares, axis=1)
    first, last = at_ends[:, :-1], at_ends[:, 1:]
    bow = 2 * first + 2 * last - 4 * at_middles
    lean = 4 * at_middles - 3 * first - last
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = np.where(bow > 0.0, -lean / (2 * bow), np.nan)
        per_share, per_square = lean / length, bow / length**2
        base = first - per_share * begin + per_square * begin**2
        root = np.where((base > 0.0) & (per_square > 0.0), np.sqrt(base / per_square), np.nan)
        # Taken within the piece, so that rounding in a piece of hardly any length stays harmless.
        extrema = [_within(inner), _within((root - begin) / length)]
        candidates = np.concatenate([shares, *(begin + length * part for part in extrema)], axis=1)
        values = np.concatenate([at_ends, *(first + lean * part + bow * part**2 for part in extrema)], axis=1)
        values = np.where(np.isnan(candidates), np.nan, values)
        ratios = values / candidates
    unknown = np.concatenate([np.isnan(at_ends), np.isnan(at_middles)], axis=1).any(axis=1)
    value_m, share = _least(values, candidates)
    ratio_m, ratio_share = _least(ratios, candidates)
    return Least(value_m, share, ratio_m, ratio_share, np.logical_not(unknown))


def _within(part: Floats) -> Floats:
    return np.where((part > 0.0) & (part < 1.0), part, np.nan)


def _least(values: Floats, where: Floats) -> tuple[Floats, Floats]:
    filled = np.where(np.isnan(values), np.inf, values)
    column = filled.argmin(axis=1)[:, None]
    least = np.take_along_axis(filled, column, axis=1)[:, 0]
    nowhere = np.isposinf(least)
    at = np.take_along_axis(where, column, axis=1)[:, 0]
    return np.where(nowhere, np.nan, least), np.where(nowhere, np.nan, at)
