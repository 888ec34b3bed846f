"""The plan's own types to and from plain JSON values, and nothing coerced.

5 is not "5", true is not 1, unknown keys are refused by name. Keys are the
model's attribute names; what is None is left out.
"""

import math
import types
from collections.abc import Callable
from datetime import UTC, date, datetime
from enum import Enum
from functools import cache
from typing import Any, get_args, get_origin

import attrs
from cattrs import BaseValidationError, ClassValidationError, Converter, IterableValidationError
from cattrs.errors import ForbiddenExtraKeysError
from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn, override

from planner.errors import PlanError, PlanFileError
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height, height_of, reference_of
from planner.geo.place import Place
from planner.plan.aircraft import Aircraft
from planner.plan.checks import FieldError
from planner.plan.file_text import kind_of, quoted
from planner.plan.model import Plan

_NO_REFERENCE = "a height has no reference"
_REFERENCES = "above-ground, above-launch or above-sea-level"


def plan_from_plain(plain: dict[str, Any]) -> Plan:
    """Return the plan of plain values, with `Place` objects where the model has them.

    Raises
    ------
    PlanFileError
        With the path of the first value that can't be used.
    """
    try:
        return _converter().structure(plain, Plan)
    except BaseValidationError as error:
        raise _first_fault(error) from None


def plain_from_plan(plan: Plan) -> dict[str, Any]:
    """Return the plan as plain values; only its places stay objects."""
    plain: dict[str, Any] = _converter().unstructure(plan)
    return plain


def aircraft_from_plain(plain: object, path: str) -> Aircraft:
    """Return the aircraft of plain values; `path` says where they stand.

    Raises
    ------
    PlanFileError
        With the path of the first value that can't be used.
    """
    try:
        return _converter().structure(plain, Aircraft)
    except (PlanError, BaseValidationError) as error:
        raise _first_fault(error, path) from None


def plain_from_aircraft(aircraft: Aircraft) -> dict[str, Any]:
    """Return an aircraft as plain values; what is None is left out."""
    plain: dict[str, Any] = _converter().unstructure(aircraft)
    return plain


@cache
def _converter() -> Converter:
    converter = Converter(detailed_validation=True, forbid_extra_keys=True)
    for kind, check in _CHECKS.items():
        converter.register_structure_hook(kind, check)
    for union in (Height, Height | None):
        converter.register_structure_hook(union, _height)
    for height in (AboveGround, AboveLaunch, AboveSeaLevel):
        converter.register_unstructure_hook(height, _plain_height)
    converter.register_unstructure_hook(Place, lambda place: place)
    converter.register_unstructure_hook(datetime, _plain_moment)
    converter.register_unstructure_hook(date, date.isoformat)
    converter.register_unstructure_hook_factory(_is_set, lambda _kind: sorted)
    converter.register_structure_hook_factory(_is_set, _list_hook)
    converter.register_structure_hook_factory(_is_tuple, _list_hook)
    converter.register_structure_hook_factory(_is_record, _record_hook)
    converter.register_unstructure_hook_factory(_is_record, _plain_record_hook)
    return converter


def _is_set(kind: Any) -> bool:  # noqa: ANN401
    return get_origin(kind) is frozenset


def _is_tuple(kind: Any) -> bool:  # noqa: ANN401
    return get_origin(kind) is tuple


def _is_record(kind: object) -> bool:
    return attrs.has(kind) and kind not in (Place, AboveGround, AboveLaunch, AboveSeaLevel)  # type: ignore[arg-type]


def _record_hook(kind: type[Any], converter: Converter) -> Callable[[Any, Any], Any]:
    fill = make_dict_structure_fn(
        kind, converter, _cattrs_detailed_validation=True, _cattrs_forbid_extra_keys=True
    )

    def record(value: object, _kind: object) -> object:
        if not isinstance(value, dict):
            raise _refused(value, "an object")
        return fill(value, kind)

    return record


def _plain_record_hook(kind: type[Any], converter: Converter) -> Callable[[Any], dict[str, Any]]:
    unset = {
        field.name: override(omit_if_default=True) for field in attrs.fields(kind) if field.default is None
    }
    return make_dict_unstructure_fn(kind, converter, **unset)  # type: ignore[arg-type]


def _list_hook(kind: type[Any], converter: Converter) -> Callable[[Any, Any], Any]:
    items = types.GenericAlias(list, get_args(kind)[:1])
    fill = converter.get_structure_hook(items)
    container = get_origin(kind)

    def entries(value: object, _kind: object) -> object:
        if not isinstance(value, list):
            raise _refused(value, "a list")
        return container(fill(value, items))  # type: ignore[misc]

    return entries


def _text(value: object, kind: type[Any]) -> object:
    if not isinstance(value, str):
        raise _refused(value, "a text")
    if issubclass(kind, Enum):
        return _choice(value, kind)
    if any("\ud800" <= letter <= "\udfff" for letter in value):
        raise PlanFileError("holds half a character", remedy="write the text anew")
    return value


def _choice(value: str, kind: type[Enum]) -> Enum:
    try:
        return kind(value)
    except ValueError:
        known = ", ".join(str(member.value) for member in kind)
        raise PlanFileError(f"is {quoted(value)}", remedy=f"use one of {known}") from None


def _truth(value: object, _kind: object) -> bool:
    if not isinstance(value, bool):
        raise _refused(value, "true or false")
    return value


def _whole_number(value: object, _kind: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise _refused(value, "a whole number")
    return value


def _number(value: object, _kind: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise _refused(value, "a finite number")
    return float(value)


def _moment(value: object, _kind: object) -> datetime:
    example = "write it like 2026-11-25T15:40:00Z"
    if not isinstance(value, str):
        raise _refused(value, "a time as text")
    try:
        moment = datetime.fromisoformat(value)
        if moment.utcoffset() is None:
            raise PlanFileError("the time has no offset from UTC", remedy=example)
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        raise PlanFileError(f"{quoted(value)} is not a time", remedy=example) from None


def _day(value: object, _kind: object) -> date:
    if not isinstance(value, str):
        raise _refused(value, "a date as text")
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise PlanFileError(f"{quoted(value)} is not a date", remedy="write it like 2026-11-25") from None


def _place(value: object, _kind: object) -> Place:
    if not isinstance(value, Place):
        raise PlanFileError("a position stands outside the features", remedy="write it as a feature")
    return value


def _height(value: object, kind: object) -> Height | None:
    if value is None and type(None) in get_args(kind):
        return None
    if not isinstance(value, dict) or "reference" not in value:
        raise PlanFileError(_NO_REFERENCE, remedy=f"say whether it is {_REFERENCES}, with its metres as m")
    if "m" not in value or len(value) != 2:
        raise PlanFileError("a height is not a reference and a number m", remedy="write these two keys only")
    reference = value["reference"]
    if not isinstance(reference, str):
        raise PlanFileError(f"a height has the reference {quoted(reference)}", remedy=f"use {_REFERENCES}")
    return height_of(reference, _number(value["m"], float))


_CHECKS: dict[type, Callable[[Any, Any], Any]] = {
    str: _text,
    bool: _truth,
    int: _whole_number,
    float: _number,
    datetime: _moment,
    date: _day,
    Place: _place,
}


def _plain_height(height: Height) -> dict[str, Any]:
    return {"reference": reference_of(height), "m": height.m}


def _plain_moment(moment: datetime) -> str:
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat() + "Z"


def _refused(value: object, wanted: str) -> PlanFileError:
    shown = quoted(value) if isinstance(value, str | int | float) else kind_of(value)
    return PlanFileError(f"is {shown}, not {wanted}", remedy="mend the value")


def _first_fault(error: BaseException, path: str = "lowline") -> PlanFileError:
    """Follow an error of cattrs down to the first value at fault."""
    match error:
        case ClassValidationError():
            inside, bare = error.group_exceptions()
            if bare:
                return _first_fault(bare[0], path)
            cause, note = inside[0]
            return _first_fault(cause, f"{path}.{note.name}")
        case IterableValidationError():
            (cause, index), *_ = error.group_exceptions()[0]
            return _first_fault(cause, f"{path}[{index.index}]")
        case ForbiddenExtraKeysError():
            unknown = sorted(error.extra_fields)[0]
            return PlanFileError(
                f"the key {quoted(unknown)} is not known", where=_spoken(path), remedy="remove it"
            )
        case KeyError():
            return PlanFileError("is missing", where=_spoken(path), remedy="add it")
        case FieldError():
            return PlanFileError(error.what, where=_spoken(f"{path}.{error.field}"), remedy="mend the value")
        case PlanError():
            return PlanFileError(error.what, where=_spoken(path), remedy=error.remedy or "mend the value")
        case _:
            what = f"can't be used ({quoted(str(error))})"
            return PlanFileError(what, where=_spoken(path), remedy="mend the value")


def _spoken(path: str) -> str:
    """Return a path into the member with the path point's number as people count."""
    head, bracket, rest = path.partition("lowline.path[")
    if head or not bracket:
        return path
    return f"path point {int(rest.partition(']')[0]) + 1} ({path})"
