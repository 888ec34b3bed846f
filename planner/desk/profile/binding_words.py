"""What binds, in the few words that fit on a curve or in a strip."""

from collections.abc import Iterator
from itertools import groupby

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import Binding, CeilingProfile
from planner.desk.saying import bare, law, limit_words
from planner.wording import BINDING_WORDS, MAY_BE_CLOSED, UNKNOWN

Floats = NDArray[np.float64]


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
    first = 0
    for (binding, name), same in groupby(zip(profile.binding, profile.binding_name, strict=True)):
        after = first + len(list(same))
        from_m, to_m = _border_m(distance_m, first), _border_m(distance_m, after)
        yield BindingRun(binding, name, first, after - 1, from_m, to_m)
        first = after


def _border_m(distance_m: Floats, index: int) -> float:
    if index == 0:
        return float(distance_m[0])
    if index == len(distance_m):
        return float(distance_m[-1])
    return float(distance_m[index - 1] + distance_m[index]) / 2


def words_of_run(run: BindingRun, lowest_ground_amsl_m: Floats, profile: CeilingProfile) -> str:
    """Return what binds on a stretch, the figure first, then whose it is."""
    nameless = run.binding is Binding.UNKNOWN and not run.name
    if nameless or run.binding in (Binding.GROUND, Binding.STRUCTURE):
        return binding_words(run.binding, run.name)
    short = short_words_of_run(run, lowest_ground_amsl_m, profile)
    return f"{short} · {run.name}" if run.name else short


def short_words_of_run(run: BindingRun, lowest_ground_amsl_m: Floats, profile: CeilingProfile) -> str:
    """Return what binds on a stretch where there is little room.

    Heights above ground are counted from the lowest ground within the
    terrain's uncertainty, as limits are: a cell of 200 ft is told as 200 ft.
    """
    here = slice(run.first, run.last + 1)
    ceiling_m, ground_m = profile.ceiling_amsl_m[here], lowest_ground_amsl_m[here]
    match run.binding:
        case Binding.AIRSPACE_FLOOR:
            return f"under {_limits(ceiling_m)} AMSL"
        case Binding.PERMITTED_HEIGHT:
            return f"permitted {_limits(ceiling_m - ground_m)} AGL"
        case Binding.SITE_HEIGHT:
            return f"site height {_limits(ceiling_m - ground_m)} AGL"
        case Binding.NO_PERMISSION:
            if not profile.can_ask()[here].any():
                return "no permission"
            return f"ask {_limits(profile.requestable_amsl_m[here] - ground_m)} AGL"
        case Binding.UNKNOWN if run.name:
            return MAY_BE_CLOSED
        case _:
            return _SHORT_WORDS[run.binding]


_SHORT_WORDS = {
    Binding.GROUND: "ground",
    Binding.STRUCTURE: "structure",
    Binding.CLOSED: "closed",
    Binding.UNKNOWN: UNKNOWN,
}


def binding_words(binding: Binding, name: str) -> str:
    """Return what binds at one place, without a figure."""
    match binding:
        case Binding.GROUND:
            return law(BINDING_WORDS[binding])
        case Binding.STRUCTURE:
            return law(f"{name or 'structure'} + 400 ft")
        case Binding.AIRSPACE_FLOOR:
            return f"under {name}" if name else BINDING_WORDS[binding]
        case Binding.UNKNOWN:
            return f"{name}: {MAY_BE_CLOSED}" if name else "limit not known"
        case _:
            return f"{name}: {BINDING_WORDS[binding]}" if name else BINDING_WORDS[binding]


def _limits(limits_m: Floats) -> str:
    """Return the limits in feet, rounded down: one figure, or the lowest and the highest."""
    known = limits_m[np.isfinite(limits_m)]
    if not known.size:
        return UNKNOWN
    lowest, highest = limit_words(float(known.min())), limit_words(float(known.max()))
    return lowest if lowest == highest else f"{bare(lowest)} to {highest}"
