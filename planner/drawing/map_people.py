"""Launch, landing, crew and ways out on a map sheet; who stands together shares one label."""

from collections.abc import Callable, Sequence

import attrs

from planner.drawing import svg
from planner.drawing.ink import INK
from planner.drawing.labels import Label, LabelBoard
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_symbols import (
    bail_out_mark,
    landing_mark,
    launch_mark,
    observer_mark,
    person_mark,
    return_mark,
)
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan

_MAP_WORDS = {
    Role.REMOTE_PILOT: "pilot",
    Role.PERSON_AT_CONTROLS: "controls",
    Role.OBSERVER: "observer",
    Role.SPECTATOR: "spectator",
}
YOU = "YOU"
_TOGETHER = 11.0
_NAME_LETTERS = 16
_MOST_NAMED = 3
_SPARED = 16.0
_OBSERVERS_FIRST = (Role.OBSERVER, Role.PERSON_AT_CONTROLS, Role.REMOTE_PILOT, Role.SPECTATOR)


@attrs.frozen
class PeopleDrawing:
    """Marks of spots and people; their labels, most telling first."""

    marks: str
    labels: tuple[Label, ...]


@attrs.frozen
class _Standing:
    """One thing at a point of the sheet; a lower rank is named first."""

    x: float
    y: float
    words: str
    mark: Callable[[float, float], str]
    rank: int


def draw_people(plan: Plan, sheet: MapSheet, board: LabelBoard, you: str = "") -> PeopleDrawing:
    """Return spots and people; their marks are kept free of labels on the board.

    `you` is the key of the person whom the map calls YOU.
    """
    standing = sorted(
        [
            *_spots(plan, sheet),
            *_return_point(plan, sheet),
            *_people(plan, sheet, you),
            *_ways_out(plan, sheet),
        ],
        key=lambda one: one.rank,
    )
    for one in standing:
        board.keep_free(one.x, one.y, _radius(one))
    marks = "".join(one.mark(one.x, one.y) for one in reversed(standing))
    return PeopleDrawing(marks, tuple(_label(group) for group in _together(standing)))


def _spots(plan: Plan, sheet: MapSheet) -> list[_Standing]:
    if plan.launch is None and plan.landing is None:
        return []
    launch = sheet.of_place(plan.launch.place) if plan.launch else None
    landing = sheet.of_place(plan.landing.place) if plan.landing else None
    if launch and landing and _near(launch, landing):
        return [_Standing(*launch, "launch, landing", launch_mark, 10)]
    spots = [_Standing(*launch, "launch", launch_mark, 10)] if launch else []
    return spots + ([_Standing(*landing, "landing", landing_mark, 11)] if landing else [])


def _return_point(plan: Plan, sheet: MapSheet) -> list[_Standing]:
    if plan.return_point is None:
        return []
    return [_Standing(*sheet.of_place(plan.return_point), "return", return_mark, 12)]


def _people(plan: Plan, sheet: MapSheet, you: str) -> list[_Standing]:
    people = []
    for member in plan.crew:
        if member.place is None:
            continue
        mark = observer_mark if member.role is Role.OBSERVER else person_mark
        mine = member.key == you
        rank = -1 if mine else _OBSERVERS_FIRST.index(member.role)
        words = YOU if mine else _name(plan, member)
        people.append(_Standing(*sheet.of_place(member.place), words, mark, rank))
    return people


def _ways_out(plan: Plan, sheet: MapSheet) -> list[_Standing]:
    """Return where figures break off to, by their calls."""
    return [
        _Standing(
            *sheet.of_place(span.figure.bail_out),
            f"bail-out {svg.shortened(span.figure.call.strip() or span.figure.kind.value, _NAME_LETTERS)}",
            bail_out_mark,
            12 + number,
        )
        for number, span in enumerate(plan.figure_spans())
        if span.figure.bail_out is not None
    ]


def _name(plan: Plan, member: CrewMember) -> str:
    role = _MAP_WORDS[member.role]
    alone = len(plan.crew_in(member.role)) == 1
    return role if alone or not member.name.strip() else svg.shortened(member.name, _NAME_LETTERS)


def _together(standing: Sequence[_Standing]) -> list[list[_Standing]]:
    groups: list[list[_Standing]] = []
    for one in standing:
        near = (group for group in groups if _near((group[0].x, group[0].y), (one.x, one.y)))
        group = next(near, None)
        if group is None:
            groups.append([one])
        else:
            group.append(one)
    return groups


def _label(group: Sequence[_Standing]) -> Label:
    first = group[0]
    gap = max(_radius(one) for one in group) + 1.5
    short = YOU if first.words == YOU else _words(group, 1)
    return Label(
        _words(group, _MOST_NAMED),
        first.x,
        first.y,
        12.0,
        700,
        INK,
        gap,
        reach=100.0,
        short=short,
        spared=_SPARED,
    )


def _radius(one: _Standing) -> float:
    return 12.0 if one.mark is launch_mark else 6.5


def _words(group: Sequence[_Standing], most: int) -> str:
    if group[0].words == YOU:
        # What matters to whoever reads is at once where they are; others are beside them.
        return ", ".join([YOU, *(one.words for one in group if one.mark is launch_mark)])
    more = len(group) - most
    return ", ".join(one.words for one in group[:most]) + (f" +{more}" if more > 0 else "")


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < _TOGETHER and abs(one[1] - other[1]) < _TOGETHER
