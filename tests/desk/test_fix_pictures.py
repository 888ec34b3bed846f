"""The pictures of what would fix it draw the path in the one pattern of map, profile and sheet.

Our own rule (design, section 7); where a stop stands comes from the findings alone.
"""

import attrs
import pytest

from planner.assess import assess
from planner.desk.fixing.attempts import Room, attempt
from planner.desk.fixing.kinds import FixKind
from planner.desk.fixing.sketch import ProfileSketch, common_span
from planner.drawing.patterns import Pattern
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.finding import Mark
from tests import worlds

ROOM = Room(6.0, 10.0, 60.0, 0.5)
AT = [(0, 0, 20.0), (200, 0, 20.0), (400, 0, 200.0), (600, 0, 20.0)]


@pytest.fixture(scope="module")
def answer():
    """Give a path over people on its first leg, and over the height limit in the middle."""
    ring = tuple(worlds.at(*offset) for offset in ((60, -20), (110, -20), (110, 20), (60, 20)))
    people = BeneathItem(BeneathKind.PEOPLE, DrawnAs.AREA, ring)
    return assess(worlds.plan(path=worlds.points(AT), beneath=(people,)), worlds.world())


@pytest.fixture(scope="module")
def lowered(answer):
    return attempt(answer, FixKind.LOWER, ROOM)


def patterns(parts, from_m, to_m):
    return {part.pattern for part in parts if part.from_m < to_m and part.to_m > from_m}


def test_a_stop_that_the_ceiling_knows_nothing_of_is_no_clear_line_before_and_after(answer, lowered):
    (people,) = [one for one in answer.findings if one.mark is Mark.STOP and one.to_m and one.to_m < 190]
    for parts in (lowered.parts_before, lowered.parts_after):
        assert patterns(parts, people.from_m + 1, people.to_m - 1) == {Pattern.STOP}
    high_m = answer.track.distance_m[answer.track.point_sample[2]]
    assert patterns(lowered.parts_before, high_m - 1, high_m + 1) == {Pattern.STOP}
    assert Pattern.STOP not in patterns(lowered.parts_after, high_m - 1, high_m + 1)


def test_before_all_is_judged_nothing_is_clear(answer):
    awaited = attempt(attrs.evolve(answer, whole=False), FixKind.LOWER, ROOM)
    assert {part.pattern for part in awaited.parts_after} == {Pattern.UNKNOWN}
    assert Pattern.CLEAR not in {part.pattern for part in awaited.parts_before}


def test_the_pattern_is_what_is_painted(qtbot, lowered):
    def painted(parts):
        sketch = ProfileSketch("now")
        qtbot.addWidget(sketch)
        sketch.resize(300, 160)
        sketch.show_trial(lowered.before, parts, *common_span([lowered.before]))
        return sketch.grab().toImage()

    clear = tuple(attrs.evolve(part, pattern=Pattern.CLEAR) for part in lowered.parts_before)
    assert painted(lowered.parts_before) != painted(clear)
    assert painted(clear) == painted(clear)
