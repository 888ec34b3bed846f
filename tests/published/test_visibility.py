"""How far away an aircraft is judged and found, against the published guidance.

European guidelines for operations in the open and specific category (early
2024): 327 CD + 20 m, 490 CD + 30 m, 0.3 of the ground visibility. Standing B:
read in an article that quotes them and, rows marked so, in a government's
worked table. That table's other aircraft rows do not follow the formula and
are left out. Tolerance 0.01 m.
"""

from datetime import date

import numpy as np
import pytest

from planner.plan.aircraft import Aircraft, AircraftForm
from planner.plan.crew import CrewMember, Role, TriedRange
from planner.sight.lines import Targets, slant_m
from planner.sight.ranges import ESTIMATE_STANDING, attitude_estimate_m, detection_m, sight_range
from planner.sight.spot import Spot
from planner.units import FOOT_M, STATUTE_MILE_M

ATTITUDE = [
    # largest dimension, rotorcraft, fixed wing
    (0.20, 85.40, 128.00),
    (0.25, 101.75, 152.50),
    (0.30, 118.10, 177.00),
    (0.35, 134.45, 201.50),
    (0.50, 183.50, 275.00),
    (0.679, 242.03, 362.71),  # 242.03: also printed by the government's table
    (1.00, 347.00, 520.00),
]
DETECTION = [
    # visibility, detection; all but 1, 2 and 4.8 km also in the government's table
    (100.0, 30.0),
    (500.0, 150.0),
    (1000.0, 300.0),
    (2000.0, 600.0),
    (3 * STATUTE_MILE_M, 1448.4),
    (5000.0, 1500.0),
]


@pytest.mark.parametrize(("dimension_m", "rotorcraft_m", "fixed_wing_m"), ATTITUDE)
def test_attitude_distance(dimension_m, rotorcraft_m, fixed_wing_m):
    assert attitude_estimate_m(dimension_m, AircraftForm.ROTORCRAFT) == pytest.approx(rotorcraft_m, abs=0.01)
    assert attitude_estimate_m(dimension_m, AircraftForm.FIXED_WING) == pytest.approx(fixed_wing_m, abs=0.01)


@pytest.mark.parametrize(("visibility_m", "found_m"), DETECTION)
def test_detection_distance(visibility_m, found_m):
    assert detection_m(visibility_m) == pytest.approx(found_m, abs=0.01)


def test_the_lesser_of_both_limits_and_the_crossover():
    quad = Aircraft("quad", 0.62, 0.35)
    observer = CrewMember("observer", Role.OBSERVER)
    assert sight_range(observer, quad, 447.0).attitude_m == pytest.approx(0.3 * 447.0)
    assert sight_range(observer, quad, 449.0).attitude_m == pytest.approx(134.45, abs=0.01)


def test_slant_distance_is_what_counts():
    # 300 m out and 400 ft up are 323.8 m through the air (computed).
    eye = Spot(10.0, 20.0, 101.7, 100.0)
    out = Targets(*(np.array([value]) for value in (10.0, 320.0, 101.7 + 400 * FOOT_M, 100.0)))
    assert slant_m(eye, out) == pytest.approx(323.8, abs=0.05)


def test_the_estimate_never_passes_for_law():
    assert ESTIMATE_STANDING == "visibility estimate, no US legal force"


def test_a_tried_range_replaces_the_estimate_but_not_the_detection_distance():
    quad = Aircraft("Quad  seven", 0.9, 0.5)
    tried = (
        TriedRange("quad seven", date(2026, 3, 1), "overcast noon", 420.0),
        TriedRange("quad seven", date(2026, 5, 1), "clear noon", 300.0),
        TriedRange("quad seven", date(2026, 5, 1), "low sun", 260.0),
        TriedRange("another", date(2026, 6, 1), "clear noon", 900.0),
    )
    observer = CrewMember("observer", Role.OBSERVER, tried_ranges=tried)
    reach = sight_range(observer, quad, 5000.0)
    assert (reach.tried, reach.attitude_m) == (tried[2], 260.0)
    assert sight_range(observer, quad, 500.0).attitude_m == 150.0
    alone = CrewMember("observer", Role.OBSERVER, tried_ranges=tried[3:])
    assert sight_range(alone, quad, 5000.0).attitude_m == pytest.approx(183.5)


def test_what_is_not_known_stays_unknown():
    observer = CrewMember("observer", Role.OBSERVER)
    assert sight_range(observer, None, 5000.0).attitude_m is None
    assert sight_range(observer, Aircraft("quad", 0.6, 0.35), None).detection_m is None


@pytest.mark.parametrize(("dimension_m", "arc_minutes"), [(0.2, 8.1), (0.5, 9.4), (1e6, 10.5)])
def test_angular_size_at_the_distance_at_which_attitude_is_judged(dimension_m, arc_minutes):
    """8.1' for 0.2 m, 9.4' for 0.5 m, 10.5' for ever greater ones: computed from the formula (standing B)."""
    away_m = attitude_estimate_m(dimension_m, AircraftForm.ROTORCRAFT)
    assert 60 * np.degrees(np.arctan2(dimension_m, away_m)) == pytest.approx(arc_minutes, abs=0.05)


def test_the_crossover_of_a_35_cm_quad_lies_at_448_m_of_visibility():
    """Below 448 m of ground visibility the detection distance governs (computed from both formulas)."""
    assert detection_m(448.0) < attitude_estimate_m(0.35, AircraftForm.ROTORCRAFT) < detection_m(448.5)
