"""Validators for fields of the plan; NaN never passes."""

import math
from collections.abc import Callable
from typing import Any, TypeGuard

from planner.errors import PlanError
from planner.plan.bounds import Bounds

# attrs hands over the owner, the attribute and the value; Any lets one check serve fields of any type.
Check = Callable[[Any, Any, Any], None]


class FieldError(PlanError):
    """A field refused its value; `field` is the field's name in the model."""

    def __init__(self, what: str, *, field: str) -> None:
        super().__init__(what)
        self.field = field


def positive(what: str) -> Check:
    """Return a validator that lets only finite numbers above zero pass."""

    def check(_owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if not _is_finite(value) or value <= 0:
            raise FieldError(f"{what} of {value} is not a number above zero", field=field.name)

    return check


def not_negative(what: str) -> Check:
    """Return a validator that lets only finite numbers from zero up pass."""

    def check(_owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if not _is_finite(value) or value < 0:
            raise FieldError(f"{what} of {value} is not a number from zero up", field=field.name)

    return check


def within(low: float, high: float, what: str) -> Check:
    """Return a validator that lets only finite numbers from `low` to `high` pass."""

    def check(_owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if not _is_finite(value) or not low <= value <= high:
            raise FieldError(f"{what} of {value} is not a number from {low:g} to {high:g}", field=field.name)

    return check


def bounded(bounds: Bounds, what: str) -> Check:
    """Return a validator that lets only finite numbers within bounds pass, and says them with their unit."""
    span = f"{bounds.low:,g} to {bounds.high:,g} {bounds.unit}"

    def check(_owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if not _is_finite(value) or not bounds.low <= value <= bounds.high:
            raise FieldError(f"{what} of {value} is not from {span}", field=field.name)

    return check


def perhaps(bounds: Bounds, what: str) -> Check:
    """Return the same validator for a figure that may stay unknown (None)."""
    within_bounds = bounded(bounds, what)

    def check(owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if value is not None:
            within_bounds(owner, field, value)

    return check


def not_empty(what: str) -> Check:
    """Return a validator that refuses blank text."""

    def check(_owner: object, field: Any, value: object) -> None:  # noqa: ANN401
        if not isinstance(value, str) or not value.strip():
            raise FieldError(f"{what} is empty", field=field.name)

    return check


def _is_finite(value: object) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
