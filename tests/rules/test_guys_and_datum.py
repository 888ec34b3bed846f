"""Guy wires by the rule of thumb, worked by hand; the zero that heights count from."""

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.mast_wires import MastWires
from planner.plan.model import Area
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.track.mapped import structure_limit_amsl_m
from planner.units import FOOT_M
from planner.world.readers import obstacles
from tests.world.chart_files import table
from tests.worlds import at, ft, level, plan, points, terrain, tower, world

MAST_M = 400 * FOOT_M  # 121.92 m: wires to 0.8 x that, 97.5 m


def ground_of(datum):
    return attrs.evolve(terrain(level(), cell_m=10, cells=301), vertical_datum=datum)


def marks(answer, rule):
    return {finding.mark for finding in answer.findings if finding.rule == rule}


GUYED, SILENT = "121.9 m, guyed", "121.9 m, silent on guys"
"""What records of 400 ft say of height and wires."""


def beside(aside_m, height_m, **changes):
    path = points([(-500, aside_m, height_m), (500, aside_m, height_m)])
    charts = world(
        terrain=ground_of("NAVD88"),
        structures=(tower(400, (0.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=0.0),),
    )
    return assess(plan(path=path, **changes), charts)


# Common practice (a rule of thumb): wires within 0.8 of the height, under a straight line to the top.
@pytest.mark.parametrize(
    ("aside_m", "height_m", "told"),
    [
        (96.0, 1.0, True),
        (99.0, 1.0, False),  # beyond 97.5 m
        (48.8, 60.0, True),  # half way out the line is at half the height, 61 m
        (48.8, 62.0, False),
        (10.0, 100.0, True),
        (10.0, 112.0, False),
    ],
)
def test_the_wires_lie_under_a_cone(aside_m, height_m, told):
    answer = beside(aside_m, height_m)
    assert marks(answer, "guy-wires") == ({Mark.ACT} if told else set())
    assert answer.verdict is Verdict.READY


@pytest.mark.parametrize(("share", "told"), [(0.8, True), (0.5, False), (1.2, True)])
def test_the_pilots_own_word_replaces_the_rule_of_thumb(share, told):
    answer = beside(80.0, 10.0, mast_wires=(MastWires("tower 400", share, GUYED),))
    assert bool(marks(answer, "guy-wires")) is told
    for finding in answer.findings:
        if finding.rule == "guy-wires":
            assert "as you say" in finding.message


# Our own rule: where word and record part, neither is believed alone; the record may have changed since.
def test_a_mast_whose_record_says_that_it_is_guyed_keeps_its_wires_whatever_is_said():
    (told,) = (
        one
        for one in beside(80.0, 10.0, mast_wires=(MastWires("tower 400", 0.0, GUYED),)).findings
        if one.rule == "guy-wires"
    )
    assert told.mark is Mark.ACT
    assert "(a rule of thumb: 0.8 of its height)" in told.message
    assert told.message.endswith("its record says that it is guyed: one of them is wrong.")
    assert "0: it has none" not in told.remedy


# Our own rule, as of the pilot's word that a structure stands: a word is of the record as it stood.
@pytest.mark.parametrize("share", [0.0, 0.3, 1.2])
@pytest.mark.parametrize("record", ["91.4 m, silent on guys", "121.9 m, guyed", None])
def test_what_was_said_of_another_record_takes_nothing_away(record, share):
    """A mast of 300 ft that the record makes one of 800 ft: wires reach out to 0.8 of these at the least."""
    said = (MastWires("M", share, record),)
    found = past(tower(800, key="M"), mast_wires=said).findings
    (one,) = (one for one in found if one.rule == "guy-wires")
    assert one.message.endswith("was of a record that said otherwise: it has changed since.")
    assert one.numbers["reach_m"] == pytest.approx(ft(max(share, 0.8) * 800))
    assert "look again where the wires run" in one.remedy
    drawn = Area(
        tuple(at(x, y) for x, y in ((0, -100), (200, -100), (200, 100), (0, 100))), AboveGround(30.0)
    )
    answer = assess(
        plan(path=(), area=drawn, mast_wires=said), world(structures=(tower(800, (-100.0, 0.0), key="M"),))
    )
    (one,) = (one for one in answer.findings if one.rule == "guy-wires")
    assert "it has changed since" in one.message


def past(mast, aside_m=60.0, height_m=10.0, **changes):
    path = points([(-500, aside_m, height_m), (500, aside_m, height_m)])
    return assess(plan(path=path, **changes), world(structures=(mast,)))


# Wires are taken out to 0.8 of the height until the pilot says otherwise (rule of thumb, common practice).
# The obstacle file has no field for guys (check_values 10, its columns, standing A): what its record of a
# tower leaves open counts as guyed. From 50 ft on is an own choice.
@pytest.mark.parametrize(
    ("feet", "changes", "aside_m", "told"),
    [
        (325, {}, 40.0, True),
        (325, {}, 78.0, True),  # 0.8 x 99.06 m is 79.2 m
        (325, {}, 80.5, False),
        (325, {"kind": "antenna"}, 40.0, True),
        (325, {"kind": "RADIO MAST"}, 40.0, True),
        (325, {"kind": "BLDG"}, 40.0, False),
        (325, {"kind": "T-L TWR"}, 40.0, False),
        (325, {"without_guys": True}, 40.0, False),
        (325, {"kind": "BLDG", "guyed": True}, 40.0, True),
        (50, {}, 8.0, True),
        (49, {}, 8.0, False),
    ],
)
def test_a_slim_mast_whose_record_is_silent_may_be_guyed(feet, changes, aside_m, told):
    answer = past(tower(feet, **changes), aside_m, 1.0)
    assert marks(answer, "guy-wires") == ({Mark.ACT} if told else set())
    assert answer.verdict is Verdict.READY


def test_what_is_on_record_and_what_is_taken_for_it_are_told_apart():
    told = {}
    for guyed in (False, True):
        (told[guyed],) = (one for one in past(tower(400, guyed=guyed)).findings if one.rule == "guy-wires")
    assert told[True].title == "Among the guy wires of TOWER of 400 ft"
    assert told[False].title == "Guy wires may stand about TOWER of 400 ft"
    assert "does not say whether it is guyed" in told[False].message
    assert "No record says where they run" in told[True].message


def test_the_pilot_may_say_that_there_are_no_wires():
    assert marks(past(tower(400)), "guy-wires") == {Mark.ACT}
    assert not marks(past(tower(400), mast_wires=(MastWires("tower 400", 0.0, SILENT),)), "guy-wires")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({}, {"A", "B"}),
        ({"mast_wires": (MastWires("A", 0.0, SILENT),)}, {"B"}),
        ({"mast_wires": (MastWires("A", 0.0, SILENT), MastWires("B", 0.3, SILENT))}, set()),
        ({"mast_wires": (MastWires("C", 0.0, SILENT),)}, {"A", "B"}),
        # Said once for all, in older plans, it is asked anew: it takes nothing away, and may add.
        ({"guy_wire_share": 0.0}, {"A", "B"}),
        ({"guy_wire_share": 0.3}, {"A", "B"}),
    ],
)
def test_what_is_said_of_one_mast_holds_for_that_one_alone(said, told):
    """The issue: until the pilot says otherwise. That a word is of one mast alone is our own rule."""
    masts = tuple(
        tower(400, (east_m, 0.0), key=name, name=name) for name, east_m in (("A", -250.0), ("B", 250.0))
    )
    path = points([(-500, 60.0, 10.0), (500, 60.0, 10.0)])
    answer = assess(plan(path=path, **said), world(structures=masts))
    found = [one for one in answer.findings if one.rule == "guy-wires"]
    assert {name for name in "AB" if any(one.title.endswith(f" {name}") for one in found)} == told


@pytest.mark.parametrize(("share", "told"), [(None, False), (0.9, False), (1.2, True)])
def test_what_an_older_plan_says_of_all_masts_counts_where_it_is_more(share, told):
    """110 m beside a mast of 121.9 m: beyond 0.8 and 0.9 of its height, within 1.2."""
    assert bool(marks(past(tower(400), 110.0, guy_wire_share=share), "guy-wires")) is told


@pytest.mark.parametrize(("apart_m", "told"), [(90.0, True), (105.0, False)])
def test_wires_that_may_reach_into_a_flying_area_are_told(apart_m, told):
    """A 400-ft mast outside the area: 0.8 x 121.92 m is 97.5 m (rule of thumb)."""
    ring = tuple(at(x, y) for x, y in ((0, -100), (200, -100), (200, 100), (0, 100)))
    box = Area(ring, top=AboveGround(30.0))
    answer = assess(plan(path=(), area=box), world(structures=(tower(400, (-apart_m, 0.0)),)))
    assert marks(answer, "guy-wires") == ({Mark.ACT} if told else set())
    assert not marks(answer, "structures-in-area")


# The same record of a real file: check_values 10 (its columns).
def test_a_record_of_the_obstacle_file_says_nothing_of_guys_and_one_of_our_own_may():
    row = {"OAS": "47-1", "TYPE": "TOWER", "AGL": 325, "AMSL": 1325, "H_ACC": "1", "V_ACC": "A"}
    silent, yes, no = obstacles.read(
        table(row, {**row, "GUYED": 1}, {**row, "GUYED": "N"}, shape=shapely.Point(-150.2, 37.8))
    ).content.structures
    assert (silent.guyed, silent.may_be_guyed) == (False, True)
    assert (yes.guyed, yes.may_be_guyed) == (True, True)
    assert (no.guyed, no.may_be_guyed) == (False, False)


def test_a_record_says_whether_its_publisher_has_verified_it():
    row = {"OAS": "47-1", "TYPE": "TOWER", "AGL": 325, "AMSL": 1325, "H_ACC": "1", "V_ACC": "A"}
    rows = table(row, {**row, "VERIFIED": "O"}, {**row, "VERIFIED": "U"}, shape=shapely.Point(-150.2, 37.8))
    found = obstacles.read(rows).content.structures
    assert [one.unverified for one in found] == [False, False, True]


@pytest.mark.parametrize(
    ("julian", "older"),
    [("2001070", True), ("1998365", True), ("2001071", False), ("2024018", False), ("", False), ("-", False)],
)
def test_heights_dated_before_day_71_of_2001_count_from_the_older_datum(julian, older):
    """Order 8260.19J appendix C: NAVD 88 from day 71 of 2001, NGVD 29 before (check_values 15, standing A).

    The two part by -0.40 to +2.40 m (Zilkoski and others 1992, from memory); accuracy A alone is 3 ft.
    """
    row = {"OAS": "47-1", "TYPE": "TOWER", "AGL": 325, "AMSL": 1325, "H_ACC": "1", "V_ACC": "A"}
    rows = table({**row, "JDATE": julian}, shape=shapely.Point(-150.2, 37.8))
    (mast,) = obstacles.read(rows).content.structures
    assert mast.vertical_error_m == pytest.approx(0.9144 + (2.4 if older else 0.0))
    assert (structure_limit_amsl_m(mast) < 1722 * 0.3048 - 0.4) is older
    (unknown,) = obstacles.read(
        table({**row, "V_ACC": "I", "JDATE": julian}, shape=shapely.Point(-150.2, 37.8))
    ).content.structures
    assert unknown.vertical_error_m is None


@pytest.mark.parametrize(("quantity", "count"), [("1", 1), ("4", 4), ("9", 9), ("", 1), ("0", 1), ("x", 1)])
def test_a_record_tells_how_many_structures_stand_in_it(quantity, count):
    row = {"OAS": "47-1", "TYPE": "TOWER", "AGL": 325, "AMSL": 1325, "QUANTITY": quantity}
    (mast,) = obstacles.read(table(row, shape=shapely.Point(-150.2, 37.8))).content.structures
    assert mast.count == count


def test_a_short_pass_between_two_places_of_the_raster_is_seen():
    """A 60-ft mast between raster lines 250 m apart: its wires reach 14.6 m, 10 m beside the path."""
    path = points([(-500, 10.0, 3.0), (500, 10.0, 3.0)])
    charts = world(
        terrain=terrain(level(), cell_m=250, cells=20),
        structures=(tower(60, (60.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=0.0),),
    )
    (finding,) = (one for one in assess(plan(path=path), charts).findings if one.rule == "guy-wires")
    assert finding.numbers["aside_m"] == pytest.approx(10.0, abs=0.05)
    assert finding.numbers["reach_m"] == pytest.approx(0.8 * 60 * FOOT_M)


@pytest.mark.parametrize(("error_m", "told"), [(0.0, False), (3.0, True)])
def test_the_records_error_in_height_raises_the_wires(error_m, told):
    # Half way out, 48.8 m, the line is at 61 m, with 3 m of error at 64 m.
    path = points([(-500, 48.8, 62.0), (500, 48.8, 62.0)])
    mast = tower(400, (0.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=error_m)
    assert bool(marks(assess(plan(path=path), world(structures=(mast,))), "guy-wires")) is told


def test_a_mast_whose_top_is_not_recorded_stands_on_the_ground():
    mast = tower(400, (0.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=0.0, top_amsl_m=None)
    for height_m, told in ((60.0, True), (62.0, False)):
        path = points([(-500, 48.8, height_m), (500, 48.8, height_m)])
        assert bool(marks(assess(plan(path=path), world(structures=(mast,))), "guy-wires")) is told
