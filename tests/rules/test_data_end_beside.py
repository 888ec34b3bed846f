"""Holes in what is known of airspace, beside a flight: distances by hand in an even plane.

Own rule, of the issue and the house ("missing data never becomes ready"): within 20 m of the flight at least
something to do, within what a satellite fix may be off (8 m, GPS SPS Performance Standard 2020, from memory)
open. Coverage is taken 1.2 m wider than stated, so a hole counts that much nearer than its edge as taken.
"""

import pytest
import shapely

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.permission.besides import BESIDE_M
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.beside import FIX_M
from planner.rules.finding import Mark
from planner.world.layers import LayerName
from tests.worlds import EVERYWHERE, area, at, box, layer, layers, plan, polygon, world

AIRSPACE = [LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.SECURITY, LayerName.UAS_ZONES]


def holed(hole, *names):
    """Charts whose layers so named say nothing within an outline."""
    cut = {name.name.lower(): layer(name, coverage=EVERYWHERE.difference(hole)) for name in names}
    return world(layers=layers(**cut))


def beside(aside_m):
    """60 m wide, its southern edge so far north of the path."""
    return box(100, aside_m, 160, aside_m + 60)


def told(charts, **changes):
    return [one for one in assess_live(plan(**changes), charts).findings if one.rule == "no-data-beside"]


@pytest.mark.parametrize("name", AIRSPACE)
def test_a_hole_15_m_beside_the_path_is_told_by_the_name_of_what_is_missing(name):
    (one,) = told(holed(beside(15.0), name))
    assert one.mark is Mark.ACT
    words = {
        LayerName.CLASS_AIRSPACE: "class airspace",
        LayerName.SPECIAL_USE: "prohibited and restricted areas",
        LayerName.SECURITY: "standing security restrictions",
        LayerName.UAS_ZONES: "zones for unmanned aircraft",
    }
    assert f"on {words[name]} end" in one.message
    assert not any(text in one.message for other, text in words.items() if other is not name)
    # As stated the hole begins 15 m away; in words no more room than that, in whole feet.
    assert one.numbers["aside_m"] == pytest.approx(15.0, abs=0.3)
    assert 600.0 <= one.from_m <= 660.0


def test_what_several_layers_lack_in_one_hole_is_one_finding():
    (one,) = told(holed(beside(15.0), *AIRSPACE[:3]))
    assert "class airspace, prohibited and restricted areas, standing security restrictions" in one.message


@pytest.mark.parametrize(
    ("aside_m", "mark"),
    [(0.5, Mark.UNKNOWN), (FIX_M - 0.5, Mark.UNKNOWN), (FIX_M + 0.5, Mark.ACT), (BESIDE_M - 0.5, Mark.ACT)],
)
def test_within_what_a_fix_may_be_off_the_answer_is_open(aside_m, mark):
    (one,) = told(holed(beside(aside_m), LayerName.SPECIAL_USE))
    assert one.mark is mark


def test_farther_off_nothing_is_said():
    assert not told(holed(beside(BESIDE_M + 0.5), *AIRSPACE))
    assert not told(world())


def test_a_facility_map_closes_nothing():
    assert not told(holed(beside(5.0), LayerName.FACILITY_MAP))


def test_where_data_do_not_cover_what_is_drawn_that_is_told_alone():
    answer = assess_live(plan(), holed(box(100, -30, 160, 30), LayerName.SECURITY))
    assert "data-security-restrictions" in {one.rule for one in answer.findings}
    assert not [one for one in answer.findings if one.rule == "no-data-beside"]


def test_where_charts_end_beside_a_path_is_a_hole_too():
    (one,) = told(holed(box(-900, 12, 900, 90_000), LayerName.CLASS_AIRSPACE))
    assert one.mark is Mark.ACT
    assert one.numbers["aside_m"] == pytest.approx(12.0, abs=0.4)


@pytest.mark.parametrize(("aside_m", "mark"), [(4.0, Mark.UNKNOWN), (15.0, Mark.ACT), (21.0, None)])
def test_a_hole_beside_a_flying_area(aside_m, mark):
    drawn = area(box(-200, -200, 200, 0), AboveGround(60.0))
    found = told(
        holed(beside(aside_m), LayerName.SPECIAL_USE), path=(), area=drawn, launch=None, landing=None
    )
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    assert all("beside the flying area" in one.message and one.from_m is None for one in found)


def test_a_hole_within_a_bend_of_the_path_is_seen():
    """Of a triangle round the hole only its sides pass near: the hull of what is drawn leaves it out."""
    charts = holed(shapely.Polygon(polygon([(490, 10), (510, 10), (500, 30)])), LayerName.SPECIAL_USE)
    (one,) = told(charts)
    assert one.mark is Mark.ACT


@pytest.mark.parametrize(
    ("spots", "of"),
    [
        ({"launch": (-500, -300)}, "the way from the launch point to the path"),
        ({"launch": (0, 0), "landing": (500, -300)}, "the way from the path to the landing point"),
    ],
)
def test_a_hole_beside_a_way_that_is_not_drawn(spots, of):
    charts = holed(box(-530, -200, -515, -150).union(box(515, -200, 530, -150)), LayerName.SECURITY)
    given = {name: GroundSpot(at(*there), LandStatus.OWN) for name, there in spots.items()}
    (one,) = told(charts, **{"landing": None, **given})
    assert of in one.message


def test_a_hole_beside_the_launch_point():
    charts = holed(box(-530, -310, -515, -290), LayerName.SECURITY)
    drawn = area(box(-500, -400, 200, -200), AboveGround(60.0))
    launch = GroundSpot(at(-500, -300), LandStatus.OWN)
    (one,) = told(charts, path=(), area=drawn, launch=launch, landing=launch)
    assert one.mark is Mark.ACT
