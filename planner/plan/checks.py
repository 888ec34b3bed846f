"""Validators for fields of the plan; NaN never passes."""

import math
from collections.abc import Callable

from planner.errors import PlanError

Check = Callable[[object, object, object], None]


def positive(what: str) -> Check:
    """Return a validator that lets only finite numbers above zero pass."""

    def check(_owner: object, _field: object, value: object) -> None:
        if not isinstance(value, int | float) or not math.isfinite(value) or value <= 0:
            raise PlanError(f"{what} of {value} is not a number above zero")

    return check


def not_negative(what: str) -> Check:
    """Return a validator that lets only finite numbers from zero up pass."""

    def check(_owner: object, _field: object, value: object) -> None:
        if not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
            raise PlanError(f"{what} of {value} is not a number from zero up")

    return check


def not_empty(what: str) -> Check:
    """Return a validator that refuses blank text."""

    def check(_owner: object, _field: object, value: object) -> None:
        if not isinstance(value, str) or not value.strip():
            raise PlanError(f"{what} is empty")

    return check
