"""Readers of typed quantities that refuse what cannot be, in the unit that people type."""

from collections.abc import Callable, Mapping
from typing import Final

from planner.desk.quantities import parse, words
from planner.errors import PlanError
from planner.plan.bounds import Bounds

_WHOLE_FROM: Final = 10.0


def bounded(
    what: str, units: Mapping[str, float], unit: str, low: float, high: float, *, remedy: str = ""
) -> Callable[[str], float]:
    """Return a reader of a quantity that lies from `low` to `high` [SI].

    The reader raises PlanError for anything else.
    """

    def read(text: str) -> float:
        value = parse(text, units, unit, what)
        if not low <= value <= high:
            span = f"{_end(low, unit, units)} to {_end(high, unit, units)}"
            raise PlanError(f"{what}: {text.strip()!r} is not from {span}", remedy=remedy)
        return value

    return read


def within_bounds(what: str, units: Mapping[str, float], unit: str, bounds: Bounds) -> Callable[[str], float]:
    """Return the same for the bounds that the plan's own figure has."""
    return bounded(what, units, unit, bounds.low, bounds.high, remedy="look at its unit and its digits")


def _end(value: float, unit: str, units: Mapping[str, float]) -> str:
    """Return an end of the span, exact enough that a small one does not become nothing."""
    whole = words(value, unit, units)
    return whole if float(whole.split()[0].replace(",", "")) >= _WHOLE_FROM else words(value, unit, units, 3)
