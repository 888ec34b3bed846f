"""Figures are legs like any others to ceiling and time, and what nobody can judge about them is said.

Expected lengths, times and heights are plane geometry, in the tests' own words; what is said of a gap is the
project's own (a gap is never judged to fit).
"""

import math

import attrs
import pytest

from planner.assess import assess, assess_live
from planner.briefing.check_json import check_json
from planner.briefing.front_page import front_page
from planner.briefing.pilot_page import figure_rows
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan import edits
from planner.plan.figure_shapes import DiveShape, GapShape, OrbitShape, PassShape
from planner.plan.figures import Figure, FigureKind
from planner.rules.finding import Mark
from planner.track.timing import path_times
from tests import worlds
from tests.worlds import GROUND_M, at, cliff, ft, plan, terrain, world

WAY_OUT = at(0, -150)
SAID = {"name": "", "call": "NOW", "bail_out": WAY_OUT}


def flown(kind, shape, **said):
    figure = Figure(kind.value, kind, subject=shape.subject, **(SAID | said))
    return edits.LayFigure(0, figure, shape.points()).apply(plan(path=()))


def orbit(height, **figures):
    shape = OrbitShape(at(0, 0), at(0, 50), 100.0, height, **figures)
    return flown(FigureKind.ORBIT, shape)


def rules_of(answer):
    return {each.rule: each for each in answer.findings}


@pytest.mark.parametrize("width_m", [1.0, 5.0, 100.0])
def test_a_gap_is_never_judged_to_fit_however_wide_and_whoever_flies(width_m):
    shape = GapShape(at(0, 0), at(-width_m, 0), AboveGround(20.0))
    finding = rules_of(assess_live(flown(FigureKind.GAP, shape), world()))["gap-not-judged"]
    assert finding.mark is Mark.ACT
    assert "own risk" in finding.message
    assert "on the spot" in finding.remedy
    assert finding.from_m == 0.0
    assert finding.to_m == pytest.approx(2 * width_m, rel=1e-6)


@pytest.mark.parametrize("kind", [FigureKind.DIVE, FigureKind.ORBIT, FigureKind.PASS])
def test_only_a_gap_says_so(kind):
    shape = PassShape(at(0, 0), at(-100, 0), 20.0, AboveGround(20.0))
    assert "gap-not-judged" not in rules_of(assess_live(flown(kind, shape), world()))


def test_what_is_not_said_of_a_figure_is_something_to_do():
    shape = PassShape(at(0, 0), at(-100, 0), 20.0, AboveGround(20.0))
    said = rules_of(assess_live(flown(FigureKind.PASS, shape), world()))
    assert not {rule for rule in said if rule.startswith("figure-")}
    bare = rules_of(assess_live(flown(FigureKind.PASS, shape, call=" ", bail_out=None), world()))
    for rule in ("figure-without-call", "figure-without-bail-out"):
        assert bare[rule].mark is Mark.ACT


def test_a_level_orbit_off_a_cliff_is_over_the_limit_on_the_far_side_only():
    """14 CFR 107.51(b): 400 ft above the ground; the ground falls by 200 ft east of the middle."""
    charts = world(terrain=terrain(cliff(ft(200.0))))
    over = [
        each for each in assess_live(orbit(AboveSeaLevel(GROUND_M + ft(300.0))), charts).findings
        if each.rule == "above-height-limit"
    ]  # fmt: skip
    assert over
    for finding in over:
        assert finding.place.lon_deg > at(-31, 0).lon_deg
    lower = assess_live(orbit(AboveSeaLevel(GROUND_M + ft(150.0))), charts)
    assert "above-height-limit" not in rules_of(lower)


def test_an_orbit_above_ground_follows_it():
    charts = world(terrain=terrain(worlds.slope(0.1)))
    track = assess_live(orbit(AboveGround(30.0)), charts).track
    assert track is not None
    assert track.planned_agl_m.max() - 30.0 < 1.5
    assert track.planned_amsl_m.max() - track.planned_amsl_m.min() > 15.0


def test_an_orbit_takes_the_time_of_its_way_round():
    """By hand: 16 edges of a polygon that touches a circle of 100 m from outside, 2·100·16·tan(π/16) m."""
    flight = orbit(AboveSeaLevel(GROUND_M + 30.0), speed_mps=10.0)
    track = assess_live(flight, world()).track
    assert track is not None
    round_m = 2 * 100.0 * 16 * math.tan(math.pi / 16)
    assert track.length_m == pytest.approx(round_m, rel=1e-4)
    assert path_times(track, flight.path).duration_s == pytest.approx(round_m / 10.0, rel=1e-4)


def test_a_dive_sinks_at_the_rate_that_was_asked_for():
    shape = DiveShape(at(0, 0), at(80, 0), AboveSeaLevel(GROUND_M + 100.0), AboveSeaLevel(GROUND_M + 40.0),
                      descent_mps=12.0, drop_m=60.0, run_out_m=0.0)  # fmt: skip
    flight = flown(FigureKind.DIVE, shape)
    track = assess_live(flight, world()).track
    assert track is not None
    assert path_times(track, flight.path).duration_s == pytest.approx(60.0 / 12.0, rel=1e-3)


def test_a_dive_flown_the_other_way_round_is_told():
    shape = DiveShape(at(0, 0), at(80, 0), AboveGround(100.0), AboveGround(40.0))
    flight = flown(FigureKind.DIVE, shape)
    assert "dive-does-not-descend" not in rules_of(assess_live(flight, world()))
    back = edits.ReversePath().apply(flight)
    assert rules_of(assess_live(back, world()))["dive-does-not-descend"].mark is Mark.ACT


def test_without_ground_the_figure_is_still_told_of():
    flight = flown(FigureKind.GAP, GapShape(at(0, 0), at(-10, 0), AboveGround(20.0)))
    answer = assess_live(flight, attrs.evolve(world(), terrain=None))
    assert "gap-not-judged" in rules_of(answer)


@pytest.fixture(scope="module")
def briefed():
    first = flown(
        FigureKind.GAP, GapShape(at(0, 200), at(-40, 200), AboveGround(20.0)), name="Arch (invented)"
    )
    more = PassShape(at(0, 400), at(-100, 400), 20.0, AboveGround(20.0))
    silent = Figure("pass-1", FigureKind.PASS, subject=more.subject)
    return assess(edits.LayFigure(3, silent, more.points()).apply(first), world())


def test_the_observer_reads_call_entry_exit_and_way_out(briefed):
    page = front_page(briefed)
    (call, words), (none, silent) = page["figure_calls"]
    assert call == "NOW"
    assert words.startswith("Gap “Arch (invented)”: in and out at 12 o’clock. ")
    assert "Bail-out 6 o’clock, 151 m off" in words
    assert (none, silent.partition(". ")[2]) == ("no word", "No bail-out agreed.")
    moments = "\n".join(row["words"] for row in page["moments"])
    assert "“NOW”: gap begins" in moments
    assert "pass begins, no word agreed" in moments
    assert any("own risk" in box for box in page["on_foot"])


def test_the_pilot_reads_all_of_them(briefed):
    rows = figure_rows(briefed)
    assert [row[0] for row in rows] == ["NOW", "no word"]
    assert "not judged whether it fits" in rows[0][1]
    assert rows[1][4] == "not said"


def test_the_json_has_them_in_the_order_flown(briefed):
    gap, by = check_json(briefed)["figures"]
    assert (gap["kind"], gap["call"], gap["bail_out"]) == ("gap", "NOW", [WAY_OUT.lon_deg, WAY_OUT.lat_deg])
    assert gap["to_m"] == pytest.approx(80.0, rel=1e-3)
    assert by["bail_out"] is None
    assert by["from_m"] > gap["to_m"]


def test_the_printed_map_shows_the_way_out_by_its_call(briefed):
    assert "bail-out NOW" in front_page(briefed)["map"]
