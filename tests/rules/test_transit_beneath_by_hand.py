"""What is on a way that is not drawn: the way, and what stands about it, are put in by hand.

That no aircraft keeps its place nearer than 7.2 m (satellites 3, holding 3, map 1: check value 8.4, and half
its size), that who stands at the launch point sees what is beside it, and that wires reach out to 0.8 of a
mast's height (a rule of thumb) are our own rules (issues 4 and 6).
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules import transit_beneath
from planner.rules.finding import Mark
from planner.rules.transit_beneath import people_on_the_way
from planner.rules.undrawn import UndrawnWay
from planner.world.buildings import Building
from planner.world.obstacles import lay_obstacles
from tests.rules.hand_made import complete
from tests.worlds import GROUND_M, tower

FRAME = complete().mapped.frame
EAST = ((0.0, 0.0), (400.0, 0.0))
HIT, PASSED, UNSAID, WIRES = (
    "it would hit M",
    "it would pass M within",
    "nobody has said how high",
    "guy wires",
)


def mast(east, north, high_m, **changes):
    """Slim and exact, and free of wires unless the test says otherwise."""
    given = {"top_amsl_m": GROUND_M + high_m, "height_agl_m": None, "name": "M", "without_guys": True}
    made = tower(100.0, key=f"{east} {north}", **{**given, **changes})
    return attrs.evolve(made, place=FRAME.xy_to_place(east, north))


def guyed(east, north, high_m=30.0):
    return mast(east, north, high_m, height_agl_m=high_m, guyed=True, without_guys=False)


def square(east, north, half=5.0):
    return shapely.box(east - half, north - half, east + half, north + half)


def drawn(kind, east, north, height_m=None):
    corners = tuple(FRAME.xy_to_place(*spot) for spot in square(east, north).exterior.coords[:-1])
    return BeneathItem(kind, DrawnAs.AREA, corners, name="M", height_m=height_m)


@pytest.fixture
def told(monkeypatch):
    """What is told of a way that rises from the ground to 40 m."""

    def told_of(*structures, ends=EAST, beneath=(), buildings=()):
        ground_m = np.full(201, GROUND_M)
        way = UndrawnWay("W", shapely.LineString(ends), ground_m, ground_m + np.linspace(0.0, 40.0, 201))
        monkeypatch.setattr(transit_beneath, "ways_not_drawn", lambda *_: [way])
        base = complete()
        mapped = attrs.evolve(base.mapped, obstacles=lay_obstacles(structures, FRAME), buildings=buildings)
        plan = attrs.evolve(base.plan, beneath=beneath)
        found = list(people_on_the_way(attrs.evolve(base, mapped=mapped, plan=plan)))
        assert len(found) <= 1
        return found[0] if found else None

    return told_of


@pytest.mark.parametrize(
    ("standing", "words"),
    [
        # 200 m out it is 20 m up.
        (mast(200, 0, 25), HIT),
        (mast(200, 0, 19), None),
        (mast(200, 0.5, 25), PASSED),
        (mast(200, 5, 25), PASSED),
        (mast(200, -5, 25), PASSED),
        (mast(200, 5, 15), None),
        (mast(200, 8, 25), None),
        (mast(200, 30, 25, horizontal_error_m=31.0), HIT),
        # At its very ends.
        (mast(-0.05, 0, 5), HIT),
        (mast(400.05, 0, 60), HIT),
        # Close to the launch point only what is far enough out is beside the way.
        (mast(5, 3, 10), None),
        (mast(10, 3, 10), PASSED),
        # Of no known top, also where its record is exact.
        (mast(200, 0, 0, top_amsl_m=None), UNSAID),
        (mast(200, 10, 0, top_amsl_m=None), None),
        # Wires of a mast of 30 m reach 24 m out.
        (guyed(200, 20), None),
        (guyed(100, 15), WIRES),
        (guyed(15, 15), WIRES),
        # What the drawn flight is under at the other end is told of it.
        (guyed(400, 20, 60.0), None),
    ],
)
def test_what_stands_beside_a_way(standing, words, told):
    found = told(standing)
    assert (found is None) is (words is None)
    if found:
        assert words in found.message
        assert found.mark is Mark.ACT
        assert found.place == FRAME.xy_to_place(0.0, 0.0)


def test_wires_in_the_box_about_a_slanting_way_are_not_beside_it(told):
    assert told(guyed(300, 0), ends=((0.0, 0.0), (300.0, 300.0))) is None


@pytest.mark.parametrize(
    ("thing", "words", "mark"),
    [
        (drawn(BeneathKind.PEOPLE, 200, 0), "leads over M", Mark.UNKNOWN),
        (drawn(BeneathKind.PEOPLE, 200, 12), "leads over M", Mark.UNKNOWN),
        (drawn(BeneathKind.PEOPLE, 200, 100), None, None),
        (drawn(BeneathKind.TREES, 200, 0, 25.0), HIT, Mark.ACT),
        (drawn(BeneathKind.TREES, 200, 0, 15.0), None, None),
        (drawn(BeneathKind.TREES, 200, 0), UNSAID, Mark.ACT),
    ],
)
def test_what_is_drawn_on_a_way(thing, words, mark, told):
    found = told(beneath=(thing,))
    assert (found.mark if found else None) is mark
    if found:
        assert words in found.message


@pytest.mark.parametrize(
    ("height_m", "east", "words"),
    [(None, 100, UNSAID), (None, 250, None), (1.0, 100, None), (15.0, 100, HIT)],
)
def test_charted_buildings_on_a_way(height_m, east, words, told):
    """Of unknown height they may be 20 m high: own choice, as for sight."""
    found = told(buildings=(Building("M", square(east, 0), height_m),))
    assert (found is None) is (words is None)
    if found:
        assert words in found.message
