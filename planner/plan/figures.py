"""Figures flown as parts of the path: a kind, a call, a way out; the path's points say which is which's."""

import itertools
from collections.abc import Iterable, Sequence
from enum import StrEnum

import attrs

from planner.geo.place import Place
from planner.plan.checks import not_empty
from planner.plan.geometry import PathPoint

FEWEST_POINTS = 2
"""A figure has an entry and an exit."""


class FigureKind(StrEnum):
    """What is flown: down, round, through, or by."""

    DIVE = "dive"
    ORBIT = "orbit"
    GAP = "gap"
    PASS = "pass"


@attrs.frozen
class Figure:
    """A figure; the points of the path that carry its `key` are flown in it, entry first, exit last.

    `call` is the word said to the observer before it begins. `subject` is what
    it is flown about: centre of an orbit, subject of a pass, opening of a gap.
    `bail_out` is where the aircraft breaks off to. '' and None are not said.
    """

    key: str = attrs.field(validator=not_empty("the key of a figure"))
    kind: FigureKind
    name: str = ""
    call: str = ""
    subject: Place | None = None
    bail_out: Place | None = None

    @property
    def called(self) -> str:
        """Its kind, with its name if it has one: 'Dive "North face"'."""
        kind, name = self.kind.value.capitalize(), self.name.strip()
        return f'{kind} "{name}"' if name else kind


@attrs.frozen
class FigureSpan:
    """A figure on the path: its entry and exit point, from zero."""

    figure: Figure
    first: int
    last: int


def new_key(figures: Iterable[Figure], kind: FigureKind) -> str:
    """Return a key that none of the figures has."""
    taken = {one.key for one in figures}
    return next(key for n in itertools.count(1) if (key := f"{kind.value}-{n}") not in taken)


def spans_of(figures: Iterable[Figure], path: Sequence[PathPoint]) -> tuple[FigureSpan, ...]:
    """Return where each figure lies on a path, in the order flown; points put in between belong to it."""
    ends: dict[str, tuple[int, int]] = {}
    for index, point in enumerate(path):
        if point.figure is not None:
            ends[point.figure] = (ends.get(point.figure, (index, index))[0], index)
    found = (FigureSpan(one, *ends[one.key]) for one in figures if one.key in ends)
    return tuple(sorted(found, key=lambda span: (span.first, span.last)))


def kept_on(
    figures: Iterable[Figure], path: Iterable[PathPoint]
) -> tuple[tuple[Figure, ...], tuple[PathPoint, ...]]:
    """Return the figures that still have an entry and an exit on a path, and the path free of all others."""
    points, figures = tuple(path), tuple(figures)
    counts = dict.fromkeys((one.key for one in figures), 0)
    for point in points:
        if point.figure in counts:
            counts[point.figure] += 1
    whole = {key for key, count in counts.items() if count >= FEWEST_POINTS}
    if all(point.figure is None or point.figure in whole for point in points):
        return tuple(one for one in figures if one.key in whole), points
    freed = (
        point if point.figure is None or point.figure in whole else attrs.evolve(point, figure=None)
        for point in points
    )
    return tuple(one for one in figures if one.key in whole), tuple(freed)
