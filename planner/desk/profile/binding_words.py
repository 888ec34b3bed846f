"""What binds, in the few words that fit on a curve or in a strip."""

from collections.abc import Iterator
from itertools import pairwise

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import Binding, CeilingProfile
from planner.wording import BINDING_WORDS, limit_ft

Floats = NDArray[np.float64]

SAME_HEIGHT_M = 0.01
"""Two limits closer than this are one line on screen."""


@attrs.frozen
class BindingRun:
    """A stretch of the path on which one thing sets the ceiling.

    `first` and `last` are its samples, both included.
    """

    binding: Binding
    name: str
    first: int
    last: int
    from_m: float
    to_m: float


def binding_runs(distance_m: Floats, profile: CeilingProfile) -> Iterator[BindingRun]:
    """Yield the stretches in order; between two samples the middle divides them."""
    kinds, names = profile.binding, profile.binding_name
    changes = [k for k, (a, b) in enumerate(pairwise(kinds), 1) if a is not b]
    changes += [k for k, (a, b) in enumerate(pairwise(names), 1) if a != b]
    starts = sorted({0, *changes, len(kinds)})
    for first, after in pairwise(starts):
        from_m, to_m = _border_m(distance_m, first), _border_m(distance_m, after)
        yield BindingRun(kinds[first], names[first], first, after - 1, from_m, to_m)


def _border_m(distance_m: Floats, index: int) -> float:
    if index == 0:
        return float(distance_m[0])
    if index == len(distance_m):
        return float(distance_m[-1])
    return float(distance_m[index - 1] + distance_m[index]) / 2


def words_of_run(run: BindingRun, ground_amsl_m: Floats, profile: CeilingProfile) -> str:
    """Return what binds on a stretch, with the lowest figure that helps the pilot."""
    here = slice(run.first, run.last + 1)
    if run.binding is Binding.AIRSPACE_FLOOR:
        return f"under {limit_ft(_lowest(profile.ceiling_amsl_m[here]))}{_of(run)}"
    if run.binding in (Binding.NO_PERMISSION, Binding.CLOSED):
        return _unpermitted_words(run, ground_amsl_m[here], profile)
    if run.binding in (Binding.PERMITTED_HEIGHT, Binding.SITE_HEIGHT):
        agl_m = _lowest(profile.ceiling_amsl_m[here] - ground_amsl_m[here])
        kind = "permitted" if run.binding is Binding.PERMITTED_HEIGHT else "site height"
        return f"{kind} {limit_ft(agl_m)}{_of(run)}"
    return binding_words(run.binding, run.name)


def binding_words(binding: Binding, name: str) -> str:
    """Return what binds at one place, without a figure."""
    match binding:
        case Binding.GROUND:
            return BINDING_WORDS[binding]
        case Binding.STRUCTURE:
            return f"{name or 'structure'} + 400 ft"
        case Binding.AIRSPACE_FLOOR:
            return f"under {name}" if name else BINDING_WORDS[binding]
        case Binding.UNKNOWN:
            return "limit not known"
        case _:
            return f"{name}: {BINDING_WORDS[binding]}" if name else BINDING_WORDS[binding]


def _of(run: BindingRun) -> str:
    return f" · {run.name}" if run.name else ""


def _unpermitted_words(run: BindingRun, ground_amsl_m: Floats, profile: CeilingProfile) -> str:
    here = slice(run.first, run.last + 1)
    if run.binding is Binding.CLOSED:
        return f"closed{_of(run)}"
    if not can_ask(profile)[here].any():
        return f"no permission{_of(run)}"
    return f"ask {limit_ft(_lowest(profile.requestable_amsl_m[here] - ground_amsl_m))}{_of(run)}"


def can_ask(profile: CeilingProfile) -> NDArray[np.bool_]:
    """Return, per sample, whether asking could give more than is allowed now."""
    return np.asarray(profile.requestable_amsl_m > profile.ceiling_amsl_m + SAME_HEIGHT_M)


def _lowest(values: Floats) -> float | None:
    known = values[np.isfinite(values)]
    return float(known.min()) if known.size else None
