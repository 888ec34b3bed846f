"""The way home by hand: over what stands between, in the air of its height, and never faster for more wind.

Sources: geometry and the weight's gain of height (computed); ISA density at 3,000 m
0.9093 kg/m^3 (published tables of the standard atmosphere, from memory); how much faster than cruise it flies
against wind is an own choice.
"""

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.assess import assess
from planner.flight.over_ground import least_home_amsl_m
from planner.flight.triangle import LEAST_PROGRESS_MPS, holding_cruise
from planner.flight.wind import Wind
from planner.plan.aircraft import Battery
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.flight.scenes import flown, level, points, track_over
from tests.rules.test_beneath_rules import finding
from tests.worlds import GROUND_M, at, level_terrain, terrain

ABLE = Performance(hover_w=180.0, cruise_w=220.0, cruise_mps=14.0, highest_mps=25.0)


@pytest.mark.parametrize("seed", range(4))
def test_the_way_home_clears_the_highest_ground_on_it(seed):
    """Rough hills, ground asked at every metre of every way."""
    random = np.random.default_rng(seed)
    waves = random.uniform(0.002, 0.01, 4)

    def hills(x, y):
        x, y = x - x.mean(), y - y.mean()
        return (
            GROUND_M
            + 40 * np.sin(waves[0] * x) * np.cos(waves[1] * y)
            + 30 * np.sin(waves[2] * x + waves[3] * y)
        )

    stops = random.uniform(-1500, 1500, (4, 2))
    track, mapped = track_over(terrain(hills), points(*((x, y, level(GROUND_M + 200)) for x, y in stops)))
    home = float(track.x_m[0]), float(track.y_m[0]), float(track.ground_amsl_m[0])
    found = least_home_amsl_m(track, home, (mapped.ground,), 10.0)
    for k in range(0, len(track), 37):
        steps = max(int(np.hypot(track.x_m[k] - home[0], track.y_m[k] - home[1])), 2)
        x_m, y_m = np.linspace(home[0], track.x_m[k], steps), np.linspace(home[1], track.y_m[k], steps)
        highest_m = float(mapped.ground.ground(x_m, y_m).max())
        assert found[k] >= highest_m + 10.0 - 0.5
        assert found[k] <= highest_m + 10.0 + 25.0


def home_with(**changes):
    """A run of 600 m, 30 m above ground, and what is left at home."""
    path = worlds.points([(0, 0, 30), (600, 0, 30)], LegShape.STRAIGHT)
    given = {"launch": GroundSpot(at(0, 0)), "landing": GroundSpot(at(0, 0))} | changes
    plan = attrs.evolve(worlds.plan(path=path), **given)
    battery = Battery("LiPo", 6, 1300.0)
    craft = attrs.evolve(plan.aircraft, battery=battery, performance=ABLE)
    return attrs.evolve(plan, aircraft=craft)


def test_a_landing_place_above_the_path_costs_its_climb():
    """Home 50 m above the path's ground: 20 m more to climb than the path is high, and 10 m of clearance."""
    flat = assess(home_with(), worlds.world()).flight.charge
    stepped = terrain(lambda x, y: np.where(x < -300, GROUND_M + 50.0, GROUND_M), cell_m=30.0)
    up = home_with(landing=GroundSpot(at(-500, 0)))
    level_home = assess(up, worlds.world()).flight.charge
    raised = assess(up, attrs.evolve(worlds.world(), terrain=stepped)).flight.charge
    climb_m = 50.0 + 10.0 - 30.0
    weight_n = up.aircraft.take_off_weight_kg * 9.80665
    climb_wh = (180.0 + 2 * weight_n * 2.0) * climb_m / 2.0 / 3600
    descent_wh = 180.0 * (10.0 - 30.0) / 2.0 / 3600
    extra_wh = raised.turn_back.home_wh[-1] - level_home.turn_back.home_wh[-1]
    assert extra_wh == pytest.approx(climb_wh + descent_wh, rel=0.02)
    assert flat.turn_back.home_wh[0] < level_home.turn_back.home_wh[0]


def test_a_void_on_the_way_home_leaves_the_answer_open():
    """The landing place lies beside a void; under the path itself all ground is known."""
    gap = terrain(lambda x, y: np.where((x < -100) & (x > -300), np.nan, GROUND_M), cell_m=30.0)
    plan = home_with(landing=GroundSpot(at(-500, 0)))
    answer = assess(plan, attrs.evolve(worlds.world(), terrain=gap))
    found = finding(answer, "home-over-unknown-ground")
    assert found.mark is Mark.UNKNOWN
    assert (found.from_m, found.to_m) == (0.0, pytest.approx(600.0))
    assert answer.verdict is not Verdict.READY
    assert finding(assess(plan, worlds.world()), "home-over-unknown-ground") is None
    near = assess(home_with(), attrs.evolve(worlds.world(), terrain=gap))
    assert finding(near, "home-over-unknown-ground") is None


def test_thin_air_counts_where_only_the_height_of_the_launch_is_known():
    high = terrain(lambda x, y: np.full_like(x, 3_000.0), cell_m=60.0)
    plan = home_with(path=worlds.points([(0, 0, 30), (600, 0, 30)], LegShape.STRAIGHT))
    thin = assess(plan, attrs.evolve(worlds.world(), terrain=high))
    ratio = thin.flight.charge.model.density_ratio
    assert ratio == pytest.approx(0.9093 / 1.225, rel=1e-3)
    assert "standard air of 9,8" in finding(thin, "home-reached").message
    known = attrs.evolve(plan, weather=PlannedWeather(temperature_c=-4.5, pressure_hpa=1013.25))
    told = assess(known, attrs.evolve(worlds.world(), terrain=high))
    assert "standard air" not in finding(told, "home-reached").message


def test_a_typed_temperature_counts_for_the_air_without_a_pressure():
    """35 degrees C at the standard pressure of 3,000 m (701.1 hPa, tables): 0.793 kg/m^3, p / (R T)."""
    high = terrain(lambda x, y: np.full_like(x, 3_000.0), cell_m=60.0)
    plan = home_with(weather=PlannedWeather(temperature_c=35.0))
    hot = assess(plan, attrs.evolve(worlds.world(), terrain=high))
    by_hand = 70_110.0 / (287.053 * 308.15)
    assert hot.flight.charge.model.density_ratio == pytest.approx(by_hand / 1.225, rel=2e-3)
    assert "at the standard pressure of 9,8" in finding(hot, "home-reached").message


def test_the_way_out_climbs_over_the_ground_between():
    """A ridge of 100 m between launch and path: 110 m up instead of 30 m, by hand."""
    ridge = terrain(lambda x, y: np.where((x < -100) & (x > -300), GROUND_M + 100.0, GROUND_M), cell_m=30.0)
    plan = home_with(launch=GroundSpot(at(-500, 0)), landing=GroundSpot(at(600, 0)))
    flat = assess(plan, worlds.world()).flight.charge
    over = assess(plan, attrs.evolve(worlds.world(), terrain=ridge)).flight.charge
    weight_n = plan.aircraft.take_off_weight_kg * 9.80665
    climb_wh = (180.0 + 2 * weight_n * 2.0) * 80.0 / 2.0 / 3600 / np.sqrt(flat.model.density_ratio)
    assert over.energy.used_wh[0] - flat.energy.used_wh[0] == pytest.approx(climb_wh, rel=1e-2)


head_winds = st.floats(0.0, 30.0)


@settings(deadline=None)
@given(head_winds, head_winds, st.floats(-10.0, 10.0))
def test_more_wind_from_ahead_never_makes_it_faster(one_mps, other_mps, from_left_mps):
    less, more = sorted((one_mps, other_mps))
    speeds = holding_cruise(
        14.0, np.array([-less, -more]), np.array([from_left_mps, from_left_mps]), 25.0
    ).ground_speed_mps
    if np.isnan(speeds[0]):
        assert np.isnan(speeds[1])
    elif np.isfinite(speeds[1]):
        assert speeds[1] <= speeds[0] + 1e-9
    if less < 25.0 - LEAST_PROGRESS_MPS - 5.0:
        assert speeds[0] >= LEAST_PROGRESS_MPS - 1e-9


def test_the_late_end_of_the_time_is_the_slowest_within_the_gusts():
    """Brute force: every wind between lull and gust; cruise alone makes no way against the strongest."""
    path = points((0, 0, level(GROUND_M + 30)), (800, 0, level(GROUND_M + 30)), speed_mps=None)
    track, _ = track_over(level_terrain(), path)
    gusty = Wind.typed(TypedWind(11.0, 90.0, 14.5, law=WindLaw.NONE))
    late_s = flown(track, path, gusty, ABLE).late_s[-1]
    each = [
        flown(track, path, Wind.typed(TypedWind(float(mps), 90.0, law=WindLaw.NONE)), ABLE).time_s[-1]
        for mps in np.linspace(7.5, 14.5, 57)
    ]
    assert late_s >= max(each) * (1 - 1e-9)


@pytest.mark.parametrize(
    ("mean_mps", "gust_mps", "mark"),
    [
        (6.0, 8.0, None),
        (6.0, 14.0, Mark.ACT),
        (6.0, 24.0, Mark.ACT),
        (6.0, 24.8, Mark.ACT),
        (12.0, 24.8, Mark.STOP),
        (6.0, None, None),
    ],
)
def test_the_way_home_is_held_against_gusts_too(mean_mps, gust_mps, mark):
    """The highest airspeed is 25 m/s. Gusts for a minute are 0.4 of the way from mean to gust (own choice).

    11, 1 or 0.2 m/s of progress in gusts all the way are an act; 7.9 in those of a minute cost all.
    """
    weather = PlannedWeather(wind=TypedWind(mean_mps, 270.0, gust_mps, law=WindLaw.NONE))
    found = finding(assess(home_with(weather=weather), worlds.world()), "home-in-gusts")
    assert (found.mark if found else None) is mark


def test_a_path_above_ground_is_not_made_lower_by_the_way_home():
    plan = home_with(path=worlds.points([(0, 0, 110), (600, 0, 110)], LegShape.STRAIGHT))
    charge = assess(plan, worlds.world()).flight.charge
    landing_wh = 180.0 * 110.0 / 2.0 / 3600 / np.sqrt(charge.model.density_ratio)
    assert charge.turn_back.home_wh[0] == pytest.approx(landing_wh, rel=1e-6)
