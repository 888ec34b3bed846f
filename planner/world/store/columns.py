"""Features as columns of a table and back: every field of a feature is kept as it is.

Texts, figures and yes or no have columns of their own, a vertical limit has
two, the place or outline is the shape; anything else is JSON text.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from operator import attrgetter
from typing import Any, TypeAlias, get_args, get_type_hints

import attrs
import cattrs
import numpy as np
import shapely
from cattrs.preconf.json import make_converter
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError
from planner.geo.place import Place
from planner.world.airspace import LimitReference, VerticalLimit
from planner.world.layers import Jurisdiction, LayerRecord
from planner.world.merge import TOLD_BY
from planner.world.world import World

Feature: TypeAlias = attrs.AttrsInstance
Objects: TypeAlias = NDArray[np.object_]
Cells: TypeAlias = Mapping[str, Sequence[Any]]

_TEXT, _OPTIONAL_NUMBER, _NUMBER, _FLAG = str, float | None, float, bool
_MOMENT = datetime | None


@attrs.frozen(eq=False)
class FeatureColumns:
    """Features laid out by column; `shapes` (WKB) is None where they have none."""

    names: tuple[str, ...]
    values: tuple[NDArray[Any], ...]
    shapes: Objects | None


@attrs.frozen
class _Field:
    """One field of a feature: its columns, and the way there and back."""

    name: str
    columns: tuple[str, ...]
    kinds: tuple[type, ...]
    split: Callable[[Any], tuple[Any, ...]]
    join: Callable[..., Any]
    default: Any


def feature_kinds() -> Mapping[str, type[Feature]]:
    """Return the kinds of features a world holds, by the name of their field."""
    return _feature_kinds()


def encoded(kind: type[Feature], features: Sequence[Feature]) -> FeatureColumns:
    """Return features of one kind as columns."""
    names: list[str] = []
    values: list[NDArray[Any]] = []
    for field in _fields(kind):
        given = list(map(attrgetter(field.name), features))
        names.extend(field.columns)
        if field.split is _same:
            values.append(_array(given, field.kinds[0]))
            continue
        columns = list(zip(*map(field.split, given), strict=True)) or [()] * len(field.columns)
        values.extend(_array(list(cells), kind) for cells, kind in zip(columns, field.kinds, strict=True))
    shape = _shape_name(kind)
    shapes = _wkb([getattr(feature, shape) for feature in features]) if shape else None
    return FeatureColumns(tuple(names), tuple(values), shapes)


def with_keys(columns: FeatureColumns) -> FeatureColumns:
    """Return the columns with keys that end in ':' completed by what the feature says."""
    if "key" not in columns.names:
        return columns
    position = columns.names.index("key")
    keys = columns.values[position]
    if not any(key.endswith(":") for key in keys):
        return columns
    others = [
        values.tolist() for name, values in zip(columns.names, columns.values, strict=True) if name != "key"
    ]
    shapes = [b""] * len(keys) if columns.shapes is None else columns.shapes.tolist()
    made = np.empty(len(keys), dtype=object)
    made[:] = [
        f"{key}{sha256(repr(said).encode() + shape).hexdigest()[:16]}" if key.endswith(":") else key
        for key, shape, *said in zip(keys, shapes, *others, strict=True)
    ]
    return attrs.evolve(columns, values=(*columns.values[:position], made, *columns.values[position + 1 :]))


def decoded(kind: type[Feature], cells: Cells, shapes: Objects | None) -> list[Feature]:
    """Return the features in columns; `shapes` are geometries.

    Raises
    ------
    ChartError
        If a column is missing that has no default, or a value can't be used.
    """
    arguments: dict[str, Sequence[Any]] = {}
    shape = _shape_name(kind)
    if shape is not None and shapes is not None:
        arguments[shape] = _shape_values(kind, shape, shapes)
    try:
        for field in _fields(kind):
            given = [cells[column] for column in field.columns if column in cells]
            if len(given) == len(field.columns):
                arguments[field.name] = list(map(field.join, *given))
            elif field.default is attrs.NOTHING:
                raise ChartError(f"lacks the column {field.columns[0]!r}")
        names = tuple(arguments)
        return [
            kind(**dict(zip(names, values, strict=True))) for values in zip(*arguments.values(), strict=True)
        ]
    except (ValueError, TypeError, KeyError, cattrs.BaseValidationError) as error:
        raise ChartError("holds a value that can't be used") from error


def part_of_world(holds: str, features: Sequence[Feature]) -> World:
    """Return a world of one kind of features; `holds` names it."""
    given: dict[str, Any] = {holds: tuple(features)}
    return World(**given)


@lru_cache(maxsize=1)
def _feature_kinds() -> Mapping[str, type[Feature]]:
    hints = get_type_hints(World)
    kinds = {name: get_args(hint)[0] for name, hint in hints.items() if get_args(hint)[1:] == (Ellipsis,)}
    return {name: kind for name, kind in kinds.items() if kind not in {LayerRecord, Jurisdiction}}


@lru_cache(maxsize=32)
def _fields(kind: type[Feature]) -> tuple[_Field, ...]:
    hints = get_type_hints(kind)
    return tuple(
        _field(field.name, hints[field.name], field.default)
        for field in attrs.fields(kind)
        if hints[field.name] not in {BaseGeometry, Place} and field.name != TOLD_BY
    )


@lru_cache(maxsize=32)
def _shape_name(kind: type[Feature]) -> str | None:
    hints = get_type_hints(kind)
    return next((f.name for f in attrs.fields(kind) if hints[f.name] in {BaseGeometry, Place}), None)


def _field(name: str, hint: Any, default: Any) -> _Field:  # noqa: ANN401
    if hint is VerticalLimit:
        columns = (f"{name}_reference", f"{name}_m")
        return _Field(name, columns, (str, float), _split_limit, _limit, default)
    for plain, (as_kind, split, join) in _PLAIN.items():
        if hint == plain:
            return _Field(name, (name,), (as_kind,), split, join, default)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        known = {member.value: member for member in hint}
        return _Field(name, (name,), (str,), lambda value: (str(value),), known.__getitem__, default)
    converter = make_converter()
    return _Field(
        name,
        (name,),
        (str,),
        lambda value: (json.dumps(converter.unstructure(value, hint)),),
        lambda text: converter.structure(json.loads(text), hint),
        default,
    )


def _split_limit(limit: VerticalLimit) -> tuple[str, float]:
    return limit.reference.value, limit.m


@lru_cache(maxsize=4096)
def _limit(reference: str, metres: float) -> VerticalLimit:
    return VerticalLimit(LimitReference(reference), metres)


def _split_moment(moment: datetime | None) -> tuple[str | None]:
    return (None if moment is None else moment.astimezone(UTC).isoformat(),)


def _moment(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _text(value: str | None) -> str:
    if not isinstance(value, str):
        raise TypeError("no text")
    return value


def _same(value: Any) -> tuple[Any]:  # noqa: ANN401
    return (value,)


_PLAIN: dict[Any, tuple[type, Callable[[Any], tuple[Any, ...]], Callable[..., Any]]] = {
    _TEXT: (str, _same, _text),
    _NUMBER: (float, _same, float),
    _OPTIONAL_NUMBER: (float, _same, lambda value: None if value is None else float(value)),
    _FLAG: (bool, _same, bool),
    _MOMENT: (str, _split_moment, _moment),
}


def _array(values: list[Any], as_kind: type) -> NDArray[Any]:
    if as_kind is float:
        return np.array([np.nan if value is None else value for value in values], dtype=np.float64)
    if as_kind is bool:
        return np.array(values, dtype=bool)
    found = np.empty(len(values), dtype=object)
    found[:] = values
    return found


def _wkb(places: Sequence[BaseGeometry | Place]) -> Objects:
    if places and isinstance(places[0], Place):
        pairs = np.array([(place.lon_deg, place.lat_deg) for place in places if isinstance(place, Place)])
        return np.asarray(shapely.to_wkb(shapely.points(pairs)), dtype=object)
    shapes = np.empty(len(places), dtype=object)
    shapes[:] = places
    return np.asarray(shapely.to_wkb(shapes), dtype=object)


def _shape_values(kind: type[Feature], name: str, shapes: Objects) -> list[Any]:
    if get_type_hints(kind)[name] is not Place:
        if shapely.is_missing(shapes).any():
            raise ChartError("holds a feature without a shape")
        return list(shapes)
    lon_deg, lat_deg = shapely.get_x(shapes).tolist(), shapely.get_y(shapes).tolist()
    return list(map(Place, lon_deg, lat_deg))
