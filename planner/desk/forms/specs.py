"""What a field of a form is: its name, unit and reason, and how it is read and shown."""

from collections.abc import Callable, Mapping
from typing import Any

import attrs

from planner.desk.forms.bounded import within_bounds
from planner.desk.quantities import parse, words
from planner.plan.bounds import Bounds


@attrs.frozen
class FieldSpec:
    """One field: typed where `parse` is given, else chosen from `choices`."""

    key: str
    label: str
    tip: str
    parse: Callable[[str], Any] | None = None
    shown: Callable[[Any], str] = str
    choices: Mapping[Any, str] | None = None
    example: str = ""
    required: bool = False
    wide: bool = False


def quantity(
    key: str,
    label: str,
    tip: str,
    units: Mapping[str, float],
    unit: str,
    digits: int = 0,
    bounds: Bounds | None = None,
    **more: Any,  # noqa: ANN401
) -> FieldSpec:
    """Return a field of a typed quantity, kept in SI, shown in `unit`; read within `bounds`, if any."""
    what = label.lower()
    if bounds is None:
        read: Callable[[str], Any] = lambda text: parse(text, units, unit, what)  # noqa: E731
    else:
        read = within_bounds(what, units, unit, bounds)
    return FieldSpec(
        key,
        label,
        tip,
        parse=read,
        shown=lambda value: words(value, unit, units, digits),
        **more,
    )
