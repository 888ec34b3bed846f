"""One feature of a publisher's table: its attributes as they came, and its shape."""

import math
from collections.abc import Mapping
from datetime import datetime
from hashlib import sha256

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.world.readers.moments import moment_of
from planner.world.readers.plain import one_line

NO_VALUE = frozenset({-9998.0, -9999.0})
"""Figures by which the authority's layers say that there is no figure."""

_YES = frozenset({"1", "y", "yes", "t", "true"})
_NO = frozenset({"0", "n", "no", "f", "false"})
_ORDER_DEPENDENT = frozenset({"OBJECTID", "FID"})


class RefusedError(Exception):
    """A feature can't be used; the message says why. Never leaves the readers."""


@attrs.frozen(eq=False)
class Row:
    """Attributes by upper-case name; the shape in lon/lat, or why there is none.

    `outline` is the normalised shape's WKB where somebody has it already.
    """

    attributes: Mapping[str, object]
    shape: BaseGeometry | None = None
    fault: str = ""
    outline: bytes = b""

    def text(self, *names: str) -> str:
        """Return the first of the attributes that says something, as text, else ''."""
        for name in names:
            value = self.attributes.get(name)
            if value is None:
                continue
            text = one_line(value) if isinstance(value, str) else _said(value)
            if text:
                return text
        return ""

    def number(self, *names: str) -> float | None:
        """Return the first of the attributes that is a figure, given as number or text."""
        for name in names:
            given = self.attributes.get(name)
            if given is None:
                continue
            try:
                value = _figure(given)
            except (ValueError, OverflowError):
                continue
            if math.isfinite(value) and value not in NO_VALUE:
                return value
        return None

    def moment(self, name: str, *, end_of_day: bool = False) -> datetime | None:
        """Return the attribute as a moment in UTC; None where there is none.

        Raises
        ------
        RefusedError
            If it says something that can't be read as a moment.
        """
        text = self.text(name)
        moment = moment_of(text, end_of_day=end_of_day)
        if text and moment is None:
            raise RefusedError(f"{name} {text!r} is not a date")
        return moment

    def flag(self, name: str) -> bool:
        """Whether the attribute says yes."""
        return says_yes(self.text(name))

    def denies(self, name: str) -> bool:
        """Whether the attribute says no; blank says nothing."""
        return self.text(name).casefold() in _NO

    def area(self) -> BaseGeometry:
        """Return the shape, which must be a polygon or several.

        Raises
        ------
        RefusedError
            If it is not.
        """
        shape = self.any_shape()
        if shape.geom_type not in {"Polygon", "MultiPolygon"}:
            raise RefusedError(f"a {shape.geom_type} is no area")
        return shape

    def place(self) -> Place:
        """Return the shape, which must be one point, as a place.

        Raises
        ------
        RefusedError
            If it is not.
        """
        shape = self.any_shape()
        if isinstance(shape, shapely.MultiPoint) and len(shape.geoms) == 1:
            shape = shape.geoms[0]
        if not isinstance(shape, shapely.Point):
            raise RefusedError(f"a {shape.geom_type} is no point")
        return Place(shape.x, shape.y)

    def any_shape(self) -> BaseGeometry:
        """Return the shape.

        Raises
        ------
        RefusedError
            If there is none.
        """
        if self.shape is None:
            raise RefusedError(self.fault or "it has no shape")
        return self.shape

    def content_key(self, prefix: str) -> str:
        """Return a key made of what the feature says, not of where it stood in the file."""
        said = [
            (name, value)
            for name, value in sorted(self.attributes.items())
            if value is not None and name not in _ORDER_DEPENDENT
        ]
        digest = sha256(repr(said).encode())
        if self.shape is not None:
            digest.update(self.outline or shapely.to_wkb(self.shape.normalize()))
        return f"{prefix}:{digest.hexdigest()[:16]}"


@attrs.frozen(eq=False)
class KeylessRow(Row):
    """A row for somebody who makes the keys of features himself."""

    def content_key(self, prefix: str) -> str:
        """Return the beginning of a key only."""
        return f"{prefix}:"


def _figure(value: object) -> float:
    # A yes or no is a number by Python's own habit only.
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    return float(_said(value))


def says_yes(text: str) -> bool:
    """Whether an attribute's text says yes."""
    return text in _YES or text.casefold() in _YES


def _said(value: object) -> str:
    if isinstance(value, str):
        return one_line(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            return ""
        if value.is_integer():
            return str(int(value))
    return one_line(str(value))
