"""Energy along the path: properties that hold for any model, and integration against a finer one."""

import math

import attrs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.battery import Pack
from planner.flight.energy import energy_along
from planner.flight.power import power_model
from planner.flight.turn_back import WayHome, cost_home, turn_back
from planner.flight.wind import CALM, Wind
from planner.plan.aircraft import AircraftForm, Battery
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.weather import TypedWind, WindLaw
from tests.flight.scenes import flown, level, points, track_over
from tests.worlds import GROUND_M, level_terrain, terrain

ABLE = Performance(hover_w=180.0, cruise_w=220.0, cruise_mps=14.0, highest_mps=25.0)
PACK = Pack.of(Battery("LiPo", 6, 1300.0))
MODEL = power_model(ABLE, 0.7, AircraftForm.ROTORCRAFT, PACK)
HIGH = GROUND_M + 60


def out_and_back(heading_deg, length_m=900.0):
    east, north = (
        length_m * math.sin(math.radians(heading_deg)),
        length_m * math.cos(math.radians(heading_deg)),
    )
    path = points((0, 0, level(HIGH)), (east, north, level(HIGH)), (0, 0, level(HIGH)), speed_mps=None)
    return path, track_over(level_terrain(), path)[0]


def test_a_closed_level_flight_without_wind_spends_the_same_both_ways():
    path, track = out_and_back(50.0)
    energy = energy_along(flown(track, path, CALM, ABLE), MODEL, PACK)
    middle = energy.used_wh[track.point_sample[1]]
    assert energy.used_wh[-1] == pytest.approx(2 * middle, rel=1e-9)
    assert middle == pytest.approx(220.0 * 900.0 / 14.0 / 3600, rel=1e-4)


@settings(deadline=None, max_examples=60)
@given(st.floats(0, 360), st.floats(0, 360), st.floats(0.0, 13.0), st.sampled_from(WindLaw))
def test_with_wind_at_held_airspeed_the_sum_is_never_less(heading_deg, from_deg, speed_mps, law):
    path, track = out_and_back(heading_deg)
    calm = energy_along(flown(track, path, CALM, ABLE), MODEL, PACK).used_wh[-1]
    windy = energy_along(
        flown(track, path, Wind.typed(TypedWind(speed_mps, from_deg, law=law)), ABLE), MODEL, PACK
    )
    assert np.isnan(windy.used_wh[-1]) or windy.used_wh[-1] >= calm * (1 - 1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_integration_agrees_with_one_ten_times_finer(seed):
    """Rough ground, path that climbs through sheared wind: at most 0.5 % apart."""
    random = np.random.default_rng(seed)
    waves = random.uniform(0.002, 0.01, 4)

    def relief(east_m, north_m):
        return (
            GROUND_M + 25 * np.sin(waves[0] * east_m + waves[1] * north_m) + 15 * np.cos(waves[2] * north_m)
        )

    path = points(
        (-900, -700, level(GROUND_M + 60)),
        (200, 900, level(GROUND_M + 150)),
        (1000, -200, level(GROUND_M + 70)),
        speed_mps=None,
    )
    wind = Wind.typed(TypedWind(6.0, float(random.uniform(0, 360))))
    coarse, _ = track_over(terrain(relief, cell_m=30.0), path)
    energy = energy_along(flown(coarse, path, wind, ABLE), MODEL, PACK)
    fine_path = tuple(
        attrs.evolve(
            path[k],
            place=coarse.frame.xy_to_place(
                *(np.array(coarse.frame.place_to_xy(path[k].place)) * (1 - share)
                  + np.array(coarse.frame.place_to_xy(path[k + 1].place)) * share)
            ),
            height=level(path[k].height.m * (1 - share) + path[k + 1].height.m * share),
        )
        for k in range(2)
        for share in np.arange(0, 1, 0.0005)
    ) + path[-1:]  # fmt: skip
    fine, _ = track_over(terrain(relief, cell_m=30.0), fine_path)
    assert len(fine) >= 10 * len(coarse)
    finer = energy_along(flown(fine, fine_path, wind, ABLE), MODEL, PACK)
    assert energy.used_wh[-1] == pytest.approx(finer.used_wh[-1], rel=0.005)


def test_power_goes_through_the_pilots_figures_and_climbs_cost():
    speeds = np.array([0.0, 7.0, 14.0, 28.0])
    assert MODEL.power_w(speeds) == pytest.approx([180.0, 200.0, 220.0, 220.0 * 8])
    lift = float(MODEL.power_w(np.zeros(1), 2.0)[0]) - 180.0
    # The weight's own gain of height, and as much again lost in motors and propellers (common practice).
    assert lift == pytest.approx(2 * 0.7 * 9.80665 * 2.0)
    assert float(MODEL.power_w(np.zeros(1), -5.0)[0]) == 180.0
    thin = power_model(ABLE, 0.7, AircraftForm.ROTORCRAFT, PACK, density=1.0)
    assert (thin.power_w(speeds) > MODEL.power_w(speeds)).all()


def test_a_measured_flight_stands_in_for_figures():
    measured = Performance(measured=MeasuredFlight(duration_s=360.0, used_mah=1040.0))
    model = power_model(measured, 0.7, AircraftForm.ROTORCRAFT, PACK)
    # 1.04 Ah at 22.2 V in a tenth of an hour.
    assert model.power_w(np.array([0.0, 12.0])) == pytest.approx(1.04 * 22.2 / 0.1)
    assert power_model(Performance(hover_w=180.0), 0.7, AircraftForm.ROTORCRAFT, PACK) is None
    assert power_model(measured, 0.7, AircraftForm.ROTORCRAFT, None) is None


def straight_out(length_m, wind=CALM):
    path = points((0, 0, level(HIGH)), (length_m, 0, level(HIGH)), speed_mps=None)
    track, _ = track_over(terrain(cell_m=60.0), path)
    return track, energy_along(flown(track, path, wind, ABLE), MODEL, PACK)


HOME = WayHome(0.0, 0.0, GROUND_M, 14.0)


def test_turn_back_without_wind_by_hand():
    """Out and home cost the same; landing from 60 m at 2 m/s in the hover; a quarter of 28.86 Wh is kept."""
    track, energy = straight_out(4000.0)
    # Shrink the pack until the point lies on the way.
    small = attrs.evolve(PACK, usable_mah=600.0)
    energy = attrs.evolve(energy, charge_fraction=1 - energy.used_wh / small.usable_wh)
    found = turn_back(track, energy, CALM, HOME, (MODEL, small, 0.25))
    landing_wh = 180.0 * 30.0 / 3600
    by_hand_m = (small.usable_wh * 0.75 - landing_wh) / 2 / (220.0 / 14.0 / 3600)
    assert found.at_m == pytest.approx(by_hand_m, rel=1e-3)
    assert found.used_mah == pytest.approx(small.mah_of(by_hand_m * 220.0 / 14.0 / 3600), rel=1e-3)
    assert 3.0 < found.cell_v < 4.2
    assert found.enough[0]
    assert not found.enough[-1]


def test_a_wind_that_helps_out_brings_the_point_nearer_and_a_stronger_one_forbids_the_way():
    small = attrs.evolve(PACK, usable_mah=600.0)
    places = []
    for speed_mps in (0.0, 4.0, 8.0):
        wind = Wind.typed(TypedWind(speed_mps, 270.0, law=WindLaw.NONE))
        track, energy = straight_out(4000.0, wind)
        places.append(turn_back(track, energy, wind, HOME, (MODEL, small, 0.25)).at_m)
    assert places == sorted(places, reverse=True)
    gale = Wind.typed(TypedWind(14.5, 270.0, law=WindLaw.NONE))
    track, energy = straight_out(4000.0, gale)
    home_s, _ = cost_home(track, gale, HOME, MODEL)
    assert np.isinf(home_s[1:]).all()
    found = turn_back(track, energy, gale, HOME, (MODEL, PACK, 0.25))
    assert found.at_m == 0.0
    assert not found.enough[1:].any()


def test_a_short_flight_needs_no_turn_back_point():
    track, energy = straight_out(300.0)
    found = turn_back(track, energy, CALM, HOME, (MODEL, PACK, 0.25))
    assert found.at_m is None
    assert found.enough.all()


def test_a_height_of_return_costs_a_climb():
    track, energy = straight_out(1000.0)
    low = turn_back(track, energy, CALM, HOME, (MODEL, PACK, 0.25))
    least_m = np.full(len(track), HIGH + 60)
    high = turn_back(track, energy, CALM, attrs.evolve(HOME, least_amsl_m=least_m), (MODEL, PACK, 0.25))
    # By hand: 60 m up at 2 m/s, hover and twice the weight's gain; 60 m more of descent in the hover.
    climb_wh, descent_wh = (180.0 + 2 * 0.7 * 9.80665 * 2.0) * 30.0 / 3600, 180.0 * 30.0 / 3600
    assert high.home_wh - low.home_wh == pytest.approx(climb_wh + descent_wh, rel=1e-9)
    assert high.home_s - low.home_s == pytest.approx(60.0, rel=1e-9)
