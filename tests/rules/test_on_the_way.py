"""Who and what lies on the straight way to the path, which is flown and not drawn; distances by hand."""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.rules.finding import Mark
from planner.rules.transit import undrawn_way
from planner.rules.verdict import Verdict
from planner.world.structures import Structure
from tests import worlds
from tests.rules.test_beneath_rules import finding, item, people
from tests.worlds import GROUND_M, at, terrain


def judged(*beneath, structures=(), launch=(0, -300)):
    """A path from 300 m north of the launch point, 40 m up."""
    path = worlds.points([(0, 0, 40), (400, 0, 40)], LegShape.STRAIGHT)
    spot = GroundSpot(at(*launch))
    plan = attrs.evolve(worlds.plan(path=path, launch=spot, landing=spot), beneath=beneath)
    return assess(plan, attrs.evolve(worlds.world(), structures=tuple(structures)))


@pytest.mark.parametrize(
    ("thing", "mark"),
    [
        (people(0, -150, BeneathKind.GATHERING, name="Fair (INVENTED)"), Mark.UNKNOWN),
        (people(0, -150), Mark.UNKNOWN),
        # Nobody says how fast: at 87 kt (44.8 m/s) from 40 m up at the most 127.8 m.
        (people(60, -150), Mark.UNKNOWN),
        (people(-135, -150), None),
        # Nobody flies so exactly (check value 8.4: 7 m; half the size; a spot is 2 m in radius).
        (people(2.3, -150), Mark.UNKNOWN),
        (people(8.9, -150), Mark.UNKNOWN),
        (people(0, -150, BeneathKind.CREW), None),
        (people(0, -150, under_cover=True), None),
    ],
)
def test_people_on_the_way_to_the_path_leave_the_answer_open(thing, mark):
    answer = judged(thing)
    found = finding(answer, "undrawn-way-over")
    assert (found.mark if found else None) is mark
    if found:
        assert answer.verdict is not Verdict.READY
        assert "300 m long" in found.message


@pytest.mark.parametrize(("height_m", "told"), [(25.0, True), (15.0, False)])
def test_what_stands_on_the_way_is_held_against_its_height_there(height_m, told):
    """Half way up to 40 m it is 20 m high; its near edge, 10 m before, is 18.7 m high."""
    hall = item(
        BeneathKind.BUILDING,
        DrawnAs.AREA,
        (-20, -160),
        (20, -160),
        (20, -140),
        (-20, -140),
        name="Hall (INVENTED)",
        height_m=height_m,
    )
    found = finding(judged(hall), "undrawn-way-over")
    assert (found is not None) is told
    if found:
        assert found.mark is Mark.ACT
        assert "Hall (INVENTED)" in found.message


@pytest.mark.parametrize(("east_m", "told"), [(0.0, True), (40.0, False)])
def test_a_charted_structure_on_the_way_counts_too(east_m, told):
    mast = Structure("M-1", "mast", at(east_m, -150), GROUND_M + 60.0, 60.0, 5.0, 3.0)
    found = finding(judged(structures=[mast]), "undrawn-way-over")
    assert (found is not None) is told


def test_one_of_many_structures_is_found_as_far_off_as_its_own_record_may_be_wrong():
    """Records near and far, good to 5 m; one 140 m beside the way may be wrong by 150 m, another by 130."""
    far = [
        Structure(f"F-{k}", "mast", at(200.0 * k, 700.0), GROUND_M + 60.0, 60.0, 5.0, 3.0) for k in range(40)
    ]
    for error_m, told in ((150.0, True), (130.0, False)):
        doubtful = Structure("D-1", "doubtful mast", at(-140, -150), GROUND_M + 60.0, 60.0, error_m, 3.0)
        found = finding(judged(structures=[*far, doubtful]), "undrawn-way-over")
        assert (found is not None) is told
        assert not told or "doubtful mast" in found.message


@pytest.mark.parametrize(
    ("north_m", "told"), [(-400.0, True), (100.0, True), (-440.0, False), (140.0, False)]
)
def test_one_that_stands_beyond_an_end_of_the_way_is_found_as_far_off_too(north_m, told):
    """Its record may be wrong by 130 m; the way leads from 300 m south of HERE to it."""
    beyond = Structure(
        "B-1", "mast beyond", at(0, north_m), GROUND_M + 60.0, 60.0, 130.0, 3.0, without_guys=True
    )
    # Another, whose record is good, says nothing of how far off that may be.
    good = Structure("G-1", "good mast", at(60, -150), GROUND_M + 60.0, 60.0, 5.0, 3.0, without_guys=True)
    found = finding(judged(structures=[good, beyond]), "undrawn-way-over")
    assert (found is not None) is told


def test_a_path_that_begins_at_the_launch_point_leaves_nothing_undrawn():
    path_begin = judged(people(0, -150), launch=(0, 0))
    assert (
        finding(path_begin, "undrawn-way-over") is None
        or "landing" in finding(path_begin, "undrawn-way-over").title
    )


def test_unknown_ground_on_the_way_to_the_path_leaves_the_answer_open():
    """Nothing of a battery is said, so only the way itself can tell; under the path all ground is known."""
    gap = terrain(lambda x, y: np.where((y < -100) & (y > -200), np.nan, GROUND_M), cell_m=30.0)
    known = judged()
    answer = assess(known.plan, attrs.evolve(worlds.world(), terrain=gap))
    found = finding(answer, "way-not-drawn")
    assert found.mark is Mark.UNKNOWN
    assert "ground that is not known" in found.message
    assert answer.verdict is not Verdict.READY
    assert finding(known, "way-not-drawn") is None


def mast(east_m=0.0, height_m=60.0, error_m=5.0, **changes):
    """Half way to the path the way is 20 m high; its record may be wrong by so much to the side."""
    given = {"top_amsl_m": GROUND_M + height_m, "height_agl_m": height_m, "without_guys": True, **changes}
    return attrs.evolve(Structure("M-1", "mast", at(east_m, -150), GROUND_M, 0.0, error_m, 0.0), **given)


HIT, PASS, UNTOLD = "flown straight it would hit", "would pass mast", "nobody has said how high it is"


@pytest.mark.parametrize(
    ("structure", "told"),
    [
        # 145 m on its way it is 19.3 m high; a sample beside that, 1 m before, it is 19.2 m; 12 m before the
        # middle, as far as nobody flies exactly, 18.3 m.
        (mast(height_m=17.0), None),
        (mast(height_m=19.1), PASS),
        (mast(height_m=19.3), HIT),
        (mast(4.0), HIT),
        (mast(6.0), PASS),
        (mast(11.5), PASS),
        (mast(12.5), None),
        (mast(0.05, error_m=0.0), HIT),
        (mast(0.5, error_m=0.0), PASS),
        (mast(dismantled=True), None),
        (mast(top_amsl_m=None, height_agl_m=None), UNTOLD),
        (mast(11.5, top_amsl_m=None, height_agl_m=None), UNTOLD),
        (mast(12.5, top_amsl_m=None, height_agl_m=None), None),
    ],
)
def test_a_mast_counts_by_its_height_and_as_far_as_its_record_may_be_wrong(structure, told):
    found = finding(judged(structures=[structure]), "undrawn-way-over")
    assert (found is not None) is (told is not None)
    if found:
        assert found.mark is Mark.ACT
        assert [words for words in (HIT, PASS, UNTOLD) if words in found.message] == [told]


def test_what_is_drawn_without_a_height_is_something_to_look_at():
    corners = ((-20, -160), (20, -160), (20, -140), (-20, -140))
    for kind in (BeneathKind.BUILDING, BeneathKind.TREES):
        over = item(kind, DrawnAs.AREA, *corners, name="Copse (INVENTED)", height_m=None)
        found = finding(judged(over), "undrawn-way-over")
        assert found.mark is Mark.ACT
        assert (
            "leads over Copse (INVENTED) or close beside, and nobody has said how high it is" in found.message
        )
    beside = item(BeneathKind.TREES, DrawnAs.AREA, *((east + 50, north) for east, north in corners))
    assert finding(judged(beside), "undrawn-way-over") is None


@pytest.mark.parametrize(("beside_m", "told"), [(0.5, True), (6.9, True), (7.4, False)])
def test_what_stands_closer_beside_than_anybody_flies_is_something_to_do(beside_m, told):
    """Check value 8.4: 7 m, and half the size. Right at the launch point it is seen."""
    corners = ((beside_m, -160), (40, -160), (40, -140), (beside_m, -140))
    for high_m, words in ((60.0, "would pass Hall (INVENTED) within 24 ft"), (None, "or close beside")):
        hall = item(BeneathKind.BUILDING, DrawnAs.AREA, *corners, name="Hall (INVENTED)", height_m=high_m)
        found = finding(judged(hall), "undrawn-way-over")
        assert (found is not None) is told
        if found:
            assert (found.mark, words in found.message) == (Mark.ACT, True)
    hut = item(BeneathKind.BUILDING, DrawnAs.AREA, (2, -306), (6, -306), (6, -302), (2, -302), height_m=4.0)
    assert finding(judged(hut), "undrawn-way-over") is None


def test_the_way_is_shown_at_its_end_on_the_ground():
    found = finding(judged(people(0, -150)), "undrawn-way-over")
    assert found.place.lat_deg == pytest.approx(at(0, -300).lat_deg, abs=1e-7)


def test_to_an_area_that_only_bounds_a_path_no_way_is_guessed():
    area = worlds.area(worlds.box(900, -50, 1_000, 50), None)
    answer = assess(worlds.plan(path=(), area=area), worlds.world())
    case = attrs.evolve(answer.case, track=None)
    assert case.area_samples is not None
    assert not list(undrawn_way(case))
    assert not list(undrawn_way(attrs.evolve(case, area_samples=None)))
