"""Readers of typed quantities that refuse what cannot be, in the unit that people type."""

from collections.abc import Callable, Mapping

from planner.desk.quantities import parse, words
from planner.errors import PlanError


def bounded(
    what: str, units: Mapping[str, float], unit: str, low: float, high: float, *, remedy: str = ""
) -> Callable[[str], float]:
    """Return a reader of a quantity that lies from `low` to `high` [SI].

    The reader raises PlanError for anything else.
    """

    def read(text: str) -> float:
        value = parse(text, units, unit, what)
        if not low <= value <= high:
            span = f"{words(low, unit, units)} to {words(high, unit, units)}"
            raise PlanError(f"{what}: {text.strip()!r} is not from {span}", remedy=remedy)
        return value

    return read
