"""Guy wires by the rule of thumb, worked by hand; the zero that heights count from."""

import attrs
import pytest

from planner.assess import assess
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from planner.world.layers import Jurisdiction
from tests.worlds import GROUND_M, disc, level, plan, points, sea_level, terrain, tower, volume, world

MAST_M = 400 * FOOT_M  # 121.92 m: wires to 0.8 x that, 97.5 m


def ground_of(datum):
    return attrs.evolve(terrain(level(), cell_m=10, cells=301), vertical_datum=datum)


def marks(answer, rule):
    return {finding.mark for finding in answer.findings if finding.rule == rule}


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


@pytest.mark.parametrize(("share", "told"), [(0.8, True), (0.5, False), (0.0, False), (1.2, True)])
def test_the_pilots_own_word_replaces_the_rule_of_thumb(share, told):
    answer = beside(80.0, 10.0, guy_wire_share=share)
    assert bool(marks(answer, "guy-wires")) is told
    for finding in answer.findings:
        if finding.rule == "guy-wires":
            assert "as you say" in finding.message


def test_a_mast_without_wires_has_none():
    charts = world(structures=(tower(400, (0.0, 0.0)),))
    path = points([(-500, 60, 10.0), (500, 60, 10.0)])
    assert not marks(assess(plan(path=path), charts), "guy-wires")


def under_shelf(datum, **changes):
    shelf = volume(AirspaceKind.CLASS_C, disc(5_000), sea_level(GROUND_M + 60), name="INVENTED C")
    charts = world(terrain=ground_of(datum), airspace=(shelf,), **changes)
    return assess(plan(Purpose.PART_107, path=points([(-300, 0, 20.0), (300, 0, 20.0)])), charts)


# FAA Order 8260.19J App. C (standing A): heights of obstacles count from NAVD 88.
@pytest.mark.parametrize(
    ("datum", "mark"), [("NAVD88", None), ("NAVD 88", None), ("EGM96", Mark.ACT), ("", Mark.ACT)]
)
def test_where_a_floor_above_the_sea_sets_the_limit_another_zero_warns(datum, mark):
    answer = under_shelf(datum)
    assert marks(answer, "terrain-datum") == ({mark} if mark else set())


def test_where_only_the_ground_counts_an_unnamed_zero_is_a_note():
    ground = ground_of("")
    assert marks(assess(plan(), world(terrain=ground)), "terrain-datum") == {Mark.NOTE}
    named = attrs.evolve(ground, vertical_datum="EGM96")
    assert not marks(assess(plan(), world(terrain=named)), "terrain-datum")


def test_an_invented_place_has_one_zero():
    assert not marks(
        under_shelf("", jurisdictions=(Jurisdiction("US", "Invented", invented=True),)), "terrain-datum"
    )


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
