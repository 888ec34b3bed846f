"""Rules on height along the path at their edges: under the ground, very low, close under a ceiling.

Limits: 14 CFR 107.51(b) (check_values 1.1, standing B); the rest is design of the program. Level ground at
1,000 ft above the sea, figures worked by hand.
"""

import math

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.geodesy import distance_m
from planner.geo.heights import AboveSeaLevel
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    at,
    box,
    fixed_site,
    ft,
    hover,
    plan,
    points,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

UNSURE = terrain(vertical_uncertainty_m=5.0)


def told(rule, charts=None, purpose=Purpose.PART_107, **changes):
    given = {"launch": None, "landing": None, **changes}
    answer = assess_live(plan(purpose, **given), charts or world())
    return [each for each in answer.findings if each.rule == rule]


def level_m(*easts_and_heights_m):
    """A path at heights above the sea, given above GROUND_M."""
    return points([(east, 0, AboveSeaLevel(GROUND_M + height)) for east, height in easts_and_heights_m])


# ---- ground


def test_under_the_ground_the_deepest_place_is_told():
    """A ridge that rises to 60 m in the middle, the path level at 30 m: 30 m, 98.4 ft, under its crest."""
    ridge = terrain(lambda east_m, _: GROUND_M + np.maximum(60.0 - 0.2 * abs(east_m), 0.0), cell_m=10.0)
    path = level_m((-500, 30.0), (500, 30.0))
    found = told("into-ground", world(terrain=ridge), path=path)
    (stop,) = [each for each in found if each.mark is Mark.STOP]
    assert stop.numbers["planned_agl_m"] == pytest.approx(-30.0, abs=1.0)  # a node beside the crest
    assert "the path lies 9" in stop.message
    assert "ft under the ground" in stop.message
    assert distance_m(stop.place, at()) < 10.0
    # It is under the ground where the ridge is higher than 30 m: 150 m to either side, to a node.
    assert (stop.from_m, stop.to_m) == (pytest.approx(350, abs=11), pytest.approx(650, abs=11))


@pytest.mark.parametrize(("height_m", "mark"), [(0.0, None), (-0.01, Mark.STOP), (0.01, None)])
def test_on_the_ground_is_not_under_it(height_m, mark):
    ground = terrain(lambda east_m, _: np.full(np.shape(east_m), 304.0))  # a whole figure in 32 bits
    path = points([(-500, 0, AboveSeaLevel(304.0 + height_m)), (500, 0, AboveSeaLevel(304.0 + height_m))])
    found = told("into-ground", world(terrain=ground), path=path)
    assert [each.mark for each in found] == ([mark] if mark else [])


def test_the_lowest_place_of_a_low_stretch_is_told():
    path = level_m((-500, 30.0), (-100, 4.0), (100, 2.0), (300, 4.0), (500, 30.0))
    (low,) = told("into-ground", world(terrain=UNSURE), path=path)
    assert (low.mark, low.title) == (Mark.ACT, "Very low")
    assert low.numbers["planned_agl_m"] == pytest.approx(2.0, abs=0.01)
    assert "the path is 6 ft above the ground, less than the uncertainty of 17 ft" in low.message
    assert distance_m(low.place, at(100)) < 1.0


@pytest.mark.parametrize(("height_m", "low"), [(4.99, True), (5.01, False)])
def test_very_low_is_less_than_the_uncertainty(height_m, low):
    path = level_m((-500, 30.0), (0, height_m), (500, 30.0))
    assert bool(told("into-ground", world(terrain=UNSURE), path=path)) is low


# ---- close under a ceiling


LIMIT_M = ft(400)


@pytest.mark.parametrize(
    ("under_m", "room"), [(5.01, None), (4.99, "16 ft"), (1.0, "3 ft"), (0.0, "0 ft"), (-1.0, None)]
)
def test_close_is_under_the_ceiling_by_less_than_the_uncertainty(under_m, room):
    path = points([(-500, 0, LIMIT_M - under_m), (500, 0, LIMIT_M - under_m)])
    found = told("close-under-limit", world(terrain=UNSURE), path=path)
    assert len(found) == (0 if room is None else 1)
    for each in found:
        assert f"the path is {room} under the ceiling; 17 ft are uncertainty" in each.message
        assert each.numbers["room_m"] == pytest.approx(under_m, abs=1e-3)
    assert bool(told("above-height-limit", world(terrain=UNSURE), path=path)) is (under_m < 0)


def test_the_place_with_least_room_is_told():
    path = level_m((-500, 30.0), (0, LIMIT_M - 1.0), (500, 30.0))
    (close,) = told("close-under-limit", world(terrain=UNSURE), path=path)
    assert close.numbers["room_m"] == pytest.approx(1.0, abs=1e-3)
    assert distance_m(close.place, at()) < 1.0


SHELF = volume(AirspaceKind.CLASS_C, floor=sea_level(GROUND_M + 60.0), name="INVENTED C")
OVER = world(terrain=UNSURE, airspace=(SHELF,))


@pytest.mark.parametrize(
    ("path", "close"),
    [
        (level_m((-500, 58.0), (500, 58.0)), True),  # all along under the floor
        (level_m((-500, 30.0), (500, 90.0)), False),  # climbs into it: the entry is what counts
        (level_m((-500, 90.0), (500, 30.0)), False),  # comes down out of it
        (level_m((-500, 50.0), (-300, 58.0), (0, 50.0), (500, 90.0)), True),  # close once before
    ],
)
def test_beside_an_airspace_that_is_entered_anyway_the_entry_counts(path, close):
    assert bool(told("close-under-limit", OVER, path=path)) is close


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
def test_in_an_airspace_nothing_is_close_under_its_ceiling(kind):
    """There the ceiling is the ground itself, and the path lies on it."""
    charts = world(terrain=UNSURE, airspace=(volume(kind),))
    assert not told("close-under-limit", charts, path=points([(-500, 0, 0.0), (500, 0, 0.0)]))


# ---- above the limit: what would help


HIGH = hover(ft(450))


@pytest.mark.parametrize(
    ("purpose", "charts", "words"),
    [
        (Purpose.PART_107, world(), ", or record a waiver of 14 CFR 107.51"),
        (Purpose.RECREATIONAL, world(), " at 0 m"),
        (
            Purpose.RECREATIONAL,
            world(fixed_sites=(fixed_site(), fixed_site(box(2_000, 0, 3_000, 900)))),
            ", or record the authorization of the fixed site",
        ),
        (Purpose.RECREATIONAL, world(fixed_sites=(fixed_site(box(2_000, 0, 3_000, 900)),)), " at 0 m"),
        (Purpose.PART_107, world(fixed_sites=(fixed_site(),)), ", or record a waiver of 14 CFR 107.51"),
        (None, world(fixed_sites=(fixed_site(),)), " at 0 m"),
    ],
)
def test_above_the_limit_the_remedy_fits_the_purpose(purpose, charts, words):
    (stop,) = told("above-height-limit", charts, purpose, path=HIGH)
    assert stop.remedy.startswith("lower it by 50 ft at ")
    assert stop.remedy.endswith(words)
    assert ("AIM" in stop.citation) is (purpose is Purpose.RECREATIONAL)


# ---- a structure's allowance


MAST = world(structures=(tower(300),))
STANDS = {"structures_standing": frozenset({"tower 300"})}


def test_only_where_a_structure_raises_the_limit_it_is_noted():
    """Within 400 ft, 121.9 m, of the mast in the middle, and above 400 ft over the ground."""
    path = points([(-500, 0, 150.0), (500, 0, 150.0)])
    (note,) = told("structure-allowance", MAST, path=path, **STANDS)
    assert note.from_m == pytest.approx(500 - ft(400), abs=0.1)
    assert note.to_m == pytest.approx(500 + ft(400), abs=0.1)
    assert not told("structure-allowance", MAST, path=path)


def test_where_the_ground_alone_allows_it_no_structure_is_used():
    path = points([(-500, 0, 121.0), (0, 0, 121.0), (100, 0, 130.0), (110, 0, 100.0), (500, 0, 100.0)])
    (note,) = told("structure-allowance", MAST, path=path, **STANDS)
    # On the way from 121 to 130 m the ground's 121.92 m are passed after 0.92 / 9 of 100 m.
    assert note.from_m == pytest.approx(500 + 100.4 * 0.92 / 9, abs=0.5)
    assert note.numbers["at_m"] == pytest.approx(500 + 100.4, abs=0.1)
    assert "up to 27 ft above what the ground allows" in note.message


def test_each_structure_is_named_where_it_carries_the_path():
    """Two masts 150 m apart, each good for 121.9 m: of 402 and 300 ft, the higher one where both reach."""
    charts = world(structures=(tower(402, (-75.0, 0), name="MAST A"), tower(300, (75.0, 0), name="MAST B")))
    path = points([(-190, 0, ft(650)), (190, 0, ft(650))])
    stands = {"structures_standing": frozenset({"tower 402", "tower 300"})}
    first, second = told("structure-allowance", charts, path=path, **stands)
    assert ("MAST A" in first.title, "MAST B" in second.title) == (True, True)
    assert first.to_m == pytest.approx(190 - 75 + ft(400), abs=0.1)
    assert second.from_m == pytest.approx(first.to_m, abs=0.1)
    assert second.to_m == pytest.approx(190 + 190, abs=0.1)


def test_a_path_that_leaves_a_radius_too_high_is_told_where_it_ends_and_how_to_keep_it():
    """14 CFR 107.51(b)(1) (check_values 1.1, standing B); a record of +-20 ft leaves 380 ft of radius."""
    mast = tower(402, name="MAST A", horizontal_error_m=ft(20))
    path = points([(0, 0, ft(500)), (200, 0, ft(500)), (201, 0, ft(100)), (300, 0, ft(100))])
    (stop,) = told(
        "above-height-limit",
        world(structures=(mast,)),
        path=path,
        structures_standing=frozenset({"tower 402"}),
    )
    assert stop.from_m == pytest.approx(ft(380), abs=0.1)
    assert "The allowance of the MAST A ends at 116 m." in stop.message
    assert "or stay within 380 ft of the MAST A while that high" in stop.remedy
    away = points([(0, 0, ft(100)), (199, 0, ft(100)), (200, 0, ft(500)), (300, 0, ft(500))])
    (other,) = told(
        "above-height-limit",
        world(structures=(mast,)),
        path=away,
        structures_standing=frozenset({"tower 402"}),
    )
    assert "allowance" not in other.message
    assert "stay within" not in other.remedy


def test_a_path_that_comes_into_a_radius_too_high_is_told_where_it_begins():
    mast = tower(402, name="MAST A", horizontal_error_m=ft(20))
    path = points([(300, 0, ft(100)), (201, 0, ft(100)), (200, 0, ft(500)), (0, 0, ft(500))])
    (stop,) = told(
        "above-height-limit",
        world(structures=(mast,)),
        path=path,
        structures_standing=frozenset({"tower 402"}),
    )
    # The one metre in which it climbs is 122 m long along the path.
    assert stop.to_m == pytest.approx(99 + math.hypot(1, ft(400)) + 200 - ft(380), abs=0.2)
    assert "The allowance of the MAST A begins at" in stop.message
    assert "or stay within 380 ft of the MAST A while that high" in stop.remedy


def test_of_two_records_of_one_name_the_narrower_and_the_doubted_one_count():
    """380 and 350 ft of radius; where both reach the limit is the same."""
    sure = tower(402, name="MAST A", horizontal_error_m=ft(20))
    doubted = tower(402, name="MAST A", horizontal_error_m=ft(50), unverified=True, key="other")
    stands = {"structures_standing": frozenset({"tower 402", "other"})}
    high = points([(0, 0, ft(500)), (200, 0, ft(500))])
    charts = world(structures=(sure, doubted))
    (stop,) = told("above-height-limit", charts, path=high, **stands)
    assert "or stay within 350 ft of the MAST A while that high" in stop.remedy
    assert any(
        "marked as not verified" in one.message
        for one in told("structure-allowance", charts, path=high, **stands)
    )


@pytest.mark.parametrize("unverified", [False, True])
def test_an_allowance_by_a_record_that_nobody_has_verified_says_so(unverified):
    """The obstacle file marks each record as verified or not (check_values 10, its columns)."""
    charts = world(structures=(tower(300, unverified=unverified),))
    (note,) = told("structure-allowance", charts, path=hover(ft(500)), **STANDS)
    assert ("marked as not verified" in note.message) is unverified


@pytest.mark.parametrize(("height_ft", "noted"), [(699, True), (701, False)])
def test_above_its_allowance_nothing_is_lawful_by_it(height_ft, noted):
    found = told("structure-allowance", MAST, path=hover(ft(height_ft)), **STANDS)
    assert bool(found) is noted
