"""By which structure an area's top is lawful: 14 CFR 107.51(b), 400 ft over its top within 400 ft; by hand.

Ground that rises eastward by a tenth; a tower of 100 ft at the middle, where the ground is 1,000 ft.
"""

import attrs
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.model import Purpose
from planner.rules.structure_allowance import structure_used_by_area
from tests.worlds import GROUND_M, area, box, ft, plan, slope, terrain, tower, world

MAST = tower(100, key="mast")
RISING = terrain(slope(0.1))
WIDE = box(-600, -60, 80, 60)


def case(top=None, *, outline=WIDE, standing=("mast",), structures=(MAST,), ground=RISING, **changes):
    drawn = area(outline, AboveSeaLevel(GROUND_M + ft(420)) if top is None else top)
    given = {"path": (), "launch": None, "landing": None, **changes}
    flight = plan(area=drawn, structures_standing=frozenset(standing), **given)
    return assess_live(flight, world(structures=structures, terrain=ground)).case


def told(*given, **changes):
    return list(structure_used_by_area(case(*given, **changes)))


def test_what_it_raises_is_told_at_its_most():
    """420 ft over 1,000; 121 m west of the tower the ground lies 40 ft lower: 60 ft above what it allows."""
    (one,) = told()
    assert one.numbers["over_m"] == pytest.approx(ft(20) + 0.1 * ft(400), abs=1.0)
    assert one.place.lon_deg < case().mapped.frame.origin.lon_deg
    assert one.title.endswith(" raises the limit")


@pytest.mark.parametrize(
    "changes",
    [
        {"standing": ()},
        {"purpose": Purpose.RECREATIONAL},
        {"structures": (tower(100, (900.0, 0.0), key="mast"),)},
        {"top": AboveGround(ft(395))},
        {"top": AboveSeaLevel(GROUND_M + ft(505))},  # above what the structure allows, 500 ft
    ],
)
def test_where_it_is_not_needed_or_does_not_do_nothing_is_told(changes):
    assert not told(**changes)


def test_as_high_as_it_allows_it_is_needed():
    """400 ft over its 100 ft: 100 ft over the ground's own limit at its foot, 40 ft more at the west."""
    (one,) = told(AboveSeaLevel(GROUND_M + ft(500)))
    assert one.numbers["over_m"] == pytest.approx(ft(100) + 0.1 * ft(400), abs=1.0)


def test_of_several_of_one_name_one_is_told_and_of_two_names_both():
    near = tower(100, (30.0, 0.0), key="second")
    assert len(told(structures=(MAST, near), standing=("mast", "second"))) == 1
    other = attrs.evolve(near, kind="STACK")
    assert len(told(structures=(MAST, other), standing=("mast", "second"))) == 2
    assert len(told(structures=(MAST, other))) == 1


@pytest.mark.parametrize("name", ["area_samples", "mapped", "area"])
def test_without_an_area_or_charts_nothing_is_told(name):
    assert not list(structure_used_by_area(attrs.evolve(case(), **{name: None})))


@pytest.mark.parametrize(
    ("count", "words"), [(0, "imported before it was kept"), (2, "tells of 2 structures"), (1, "")]
)
def test_what_the_records_of_one_name_leave_to_the_pilots_word_is_told(count, words):
    """Our own rule (issue 6): which of several stands just there nobody but he can say."""
    other = tower(100, (900.0, 0.0), key="second", count=count)
    (one,) = told(structures=(MAST, other))
    assert words in one.message
    if not words:
        assert "one place" not in one.message
        assert "imported before" not in one.message
