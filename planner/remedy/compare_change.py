"""One thing that changed between two judged plans, and how things of two lists are paired."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from enum import StrEnum
from typing import TypeVar

import attrs

from planner.geo.place import Place
from planner.saying import told

T = TypeVar("T")


class Topic(StrEnum):
    """What a change is about, in the order in which it matters."""

    VERDICT = "verdict"
    FINDINGS = "findings"
    PERMISSIONS = "permissions"
    CEILING = "ceiling"
    GEOMETRY = "geometry"
    INPUTS = "inputs"
    DATA = "data"


class Kind(StrEnum):
    """Whether it is there on one side only, or differs."""

    APPEARED = "appeared"
    GONE = "gone"
    CHANGED = "changed"


class Side(StrEnum):
    """Of which plan something is told."""

    BEFORE = "before"
    AFTER = "after"


@attrs.frozen
class Where:
    """Where to look: a place, and a stretch of that side's path [m]; None is not there."""

    side: Side
    place: Place | None = None
    from_m: float | None = None
    to_m: float | None = None


def _both(words: Iterable[str]) -> tuple[str, str]:
    before, after = words
    return told(before), told(after)


@attrs.frozen
class Change:
    """One change.

    Parameters
    ----------
    key : what it is about, the same on both sides; several changes may share one.
    title : that in words; `saying.said` tells it, and the words below, in other units.
    words : how it stands before and after; '' where it is not there.
    weighty : whether it concerns the verdict, what decides it, or a permission.
    at : where to look, None where there is no such place.
    numbers : the quantities behind it, SI, unit in the key.
    """

    topic: Topic
    kind: Kind
    key: str
    title: str = attrs.field(converter=told)
    words: tuple[str, str] = attrs.field(default=("", ""), converter=_both)
    weighty: bool = False
    at: Where | None = None
    numbers: Mapping[str, float] = attrs.field(factory=dict)

    @property
    def before(self) -> str:
        """How it stood."""
        return self.words[0]

    @property
    def after(self) -> str:
        """How it stands."""
        return self.words[1]


def on_side(kind: Kind, words: str) -> tuple[str, str]:
    """Return the words of what is on one side only as a pair."""
    return (words, "") if kind is Kind.GONE else ("", words)


def one_sided(before: object, after: object) -> Kind:
    """Return of which kind a change is by which side is not there (None)."""
    if before is None:
        return Kind.APPEARED
    return Kind.GONE if after is None else Kind.CHANGED


def paired(
    before: Iterable[T], after: Iterable[T], key: Callable[[T], Hashable]
) -> tuple[list[tuple[T, T]], list[T], list[T]]:
    """Return what differs under one key, what is gone and what appeared; equals are left out.

    Of several under one key the equal ones go first, then they pair in their order.
    """
    left, right = list(before), list(after)
    for item in list(left):
        if item in right:
            left.remove(item)
            right.remove(item)
    both, gone = [], []
    for item in left:
        match = next((other for other in right if key(other) == key(item)), None)
        if match is None:
            gone.append(item)
        else:
            right.remove(match)
            both.append((item, match))
    return both, gone, right


def listed(names: Sequence[str], most: int = 3) -> str:
    """Return names in a row, and how many more there are: 'a, b, c and 2 more'."""
    more = len(names) - most
    return f"{', '.join(names[:most])} and {more} more" if more > 0 else ", ".join(names)
