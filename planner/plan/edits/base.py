"""What every edit has, and what edits share."""

from collections.abc import Iterable
from typing import Protocol, TypeVar

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.model import Plan

T = TypeVar("T")


class Edit(Protocol):
    """A change to a plan, as a value."""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""

    @property
    def merge_key(self) -> object | None:
        """Neighbours with an equal key that is not None are one undo step."""

    def apply(self, plan: Plan) -> Plan:
        """Return the changed plan.

        Raises
        ------
        PlanError
            If the edit doesn't fit the plan.
        """


class OneStep:
    """An edit that never merges with its neighbours."""

    __slots__ = ()

    @property
    def merge_key(self) -> object | None:
        """Never merges."""
        return None


def in_row(places: Iterable[Place]) -> tuple[Place, ...]:
    """Return places in a tuple; a converter of its own, as the type of a bare `tuple` says nothing."""
    return tuple(places)


def checked(index: int, count: int, what: str) -> int:
    """Return an index from zero, or refuse it; messages count from one.

    Raises
    ------
    PlanError
        If there is no such thing among `count`.
    """
    if not 0 <= index < count:
        raise PlanError(f"there is no {what} {index + 1}, the plan has {count}", remedy="choose another")
    return index


def indices_of(value: int | Iterable[int]) -> tuple[int, ...]:
    """Return one or several indices sorted, each once."""
    return (value,) if isinstance(value, int) else tuple(sorted(set(value)))


def numbered(what: str, indices: tuple[int, ...]) -> str:
    """Return 'point 3' or 'points 3, 4' as people count, or how many there are."""
    if len(indices) == 1:
        return f"{what} {indices[0] + 1}"
    if len(indices) <= 4:
        return f"{what}s {', '.join(str(index + 1) for index in indices)}"
    return f"{len(indices)} {what}s"


def replaced(items: tuple[T, ...], index: int, item: T) -> tuple[T, ...]:
    """Return the items with one of them exchanged."""
    return (*items[:index], item, *items[index + 1 :])


def inserted(items: tuple[T, ...], index: int, item: T) -> tuple[T, ...]:
    """Return the items with one more before `index`."""
    return (*items[:index], item, *items[index:])


def without(items: tuple[T, ...], index: int) -> tuple[T, ...]:
    """Return the items less one of them."""
    return (*items[:index], *items[index + 1 :])
