"""Surfaces about airports (14 CFR part 77) against the rule's figures.

They speak of construction, not of aircraft in flight; here they only tell
where other aircraft are low. Standing beside each check. Lengths in feet.
"""

import numpy as np
import pytest

from planner.flight.part77 import (
    APPROACHES,
    HORIZONTAL_M,
    PRIMARY_BEYOND_M,
    Approach,
    conical_m,
    conical_top_m,
    heliport_approach_m,
    heliport_transitional_m,
    notice_height_m,
    object_height_m,
    transitional_m,
)
from planner.flight.runway import Runway, RunwayEnd, by_runway
from planner.units import FOOT_M, NAUTICAL_MILE_M


def feet(metres):
    return metres / FOOT_M


def test_horizontal_surface():
    """77.19(a) (A): 150 ft above the established elevation; arcs of 5,000 or 10,000 ft."""
    assert feet(1000 * FOOT_M + HORIZONTAL_M) == pytest.approx(1150)
    radii = {round(feet(surface.horizontal_radius_m)) for surface in APPROACHES.values()}
    assert radii == {5000, 10000}


def test_conical_surface():
    """77.19(b) (A): 20:1 for 4,000 ft; 1,000 ft out 50 ft more, 200 ft; outer edge 350 ft."""
    assert feet(HORIZONTAL_M + conical_m(1000 * FOOT_M)) == pytest.approx(200)
    assert feet(conical_top_m()) == pytest.approx(350)
    assert conical_m(4001 * FOOT_M) is None


def test_primary_surface():
    """77.19(c) (A): 200 ft beyond paved ends, 250, 500 and 1,000 ft wide."""
    assert feet(PRIMARY_BEYOND_M) == pytest.approx(200)
    widths = {round(feet(surface.inner_width_m)) for surface in APPROACHES.values()}
    assert widths == {250, 500, 1000}


@pytest.mark.parametrize(("aside_ft", "height_ft"), [(350, 50), (700, 100), (1050, 150)])
def test_transitional_surface(aside_ft, height_ft):
    """77.19(e) (A): 7:1."""
    assert feet(transitional_m(aside_ft * FOOT_M)) == pytest.approx(height_ft)


@pytest.mark.parametrize(
    ("approach", "out_ft", "height_ft", "tolerance_ft"),
    [
        (Approach.VISUAL, 2000, 100, 0.01),  # 77.19(d), 20:1 (C)
        (Approach.NONPRECISION_FAR, 10000, 294.1, 0.05),  # 34:1 (B)
        (Approach.PRECISION, 10000, 200, 0.01),  # 50:1 (B)
        (Approach.PRECISION, 30000, 700, 0.01),  # then 40:1 (B)
        (Approach.PRECISION, 50000, 1200, 0.01),
    ],
)
def test_approach_surface(approach, out_ft, height_ft, tolerance_ft):
    found = APPROACHES[approach].height_m(out_ft * FOOT_M)
    assert feet(found) == pytest.approx(height_ft, abs=tolerance_ft)


def test_widths_and_lengths_of_approach_surfaces():
    """77.19(d) (B): outer widths and lengths."""
    sizes = [(feet(s.outer_width_m), feet(s.length_m)) for s in APPROACHES.values()]
    assert [round(width) for width, _ in sizes] == [1250, 2000, 1500, 3500, 4000, 16000]
    assert [round(length) for _, length in sizes] == [5000, 5000, 5000, 10000, 10000, 50000]
    assert APPROACHES[Approach.VISUAL].height_m(5001 * FOOT_M) is None


def test_heliport_surfaces():
    """77.23 (B, rest C): 8:1 civil, 10:1 military to 4,000 ft; 2:1 for 250 ft from the centre line."""
    assert feet(heliport_approach_m(800 * FOOT_M)) == pytest.approx(100)
    assert feet(heliport_approach_m(800 * FOOT_M, military=True)) == pytest.approx(80)
    assert heliport_approach_m(4001 * FOOT_M) is None
    assert feet(heliport_transitional_m(250 * FOOT_M)) == pytest.approx(125)
    assert heliport_transitional_m(251 * FOOT_M) is None


@pytest.mark.parametrize(
    ("away_ft", "runway_ft", "height_ft"),
    [
        (8_000, 3_201, 80),
        (20_000, 3_201, 200),
        (20_001, 3_201, 200),
        (5_000, 3_200, 100),
        (2_500, None, 100),
        (5_001, None, 200),
    ],
)
def test_notice_of_construction(away_ft, runway_ft, height_ft):
    """77.9 (A): 100:1, 50:1, 25:1, beyond them 200 ft AGL."""
    found = notice_height_m(away_ft * FOOT_M, None if runway_ft is None else runway_ft * FOOT_M)
    assert feet(found) == pytest.approx(height_ft)


@pytest.mark.parametrize(("away_nm", "height_ft"), [(2, 200), (3, 200), (4, 300), (6, 499), (20, 499)])
def test_height_of_an_obstruction(away_nm, height_ft):
    """77.17 (A): 200 ft within 3 NM, 100 ft a mile more, at most 499 ft."""
    assert feet(object_height_m(away_nm * NAUTICAL_MILE_M)) == pytest.approx(height_ft)


RUNWAY = Runway(
    (
        RunwayEnd("09", 0.0, 0.0, 1000 * FOOT_M, Approach.VISUAL),
        RunwayEnd("27", 6000 * FOOT_M, 0.0, 1000 * FOOT_M, Approach.PRECISION),
    ),
    1000 * FOOT_M,
)


@pytest.mark.parametrize(
    ("x_ft", "y_ft", "surface_ft"),
    [
        (3000, 0, 1000),  # on the runway: primary
        (3000, 500 + 350, 1050),  # 77.19(e): 350 ft beside the primary surface of a precision runway
        (3000, 5000, 1150),  # horizontal
        (-200 - 2000, 0, 1100),  # 2,000 ft out at 20:1
        (6200 + 10000, 0, 1150),  # 10,000 ft out, 200 ft at 50:1: still below it the horizontal one
        (6200 + 20000, 0, 1450),  # 200 ft at 50:1 and 250 ft at 40:1, beyond the cone
        (3000, 10000 + 1000, 1200),  # 1,000 ft up the cone
        (3000, 30000, None),  # beyond all
    ],
)
def test_surfaces_over_places_by_a_runway(x_ft, y_ft, surface_ft):
    """By hand from the rule's figures above; the larger of two arcs counts for both ends."""
    found = by_runway(RUNWAY, np.array([x_ft * FOOT_M]), np.array([y_ft * FOOT_M]))
    if surface_ft is None:
        assert np.isnan(found.surface_amsl_m[0])
    else:
        assert feet(found.surface_amsl_m[0]) == pytest.approx(surface_ft, abs=0.01)


def test_extended_centre_line():
    found = by_runway(RUNWAY, np.array([-2200 * FOOT_M, 3000 * FOOT_M]), np.array([100 * FOOT_M, 0.0]))
    assert feet(found.beyond_m) == pytest.approx([2200, 0])
    assert feet(found.aside_m) == pytest.approx([100, 0])
    assert found.in_approach.tolist() == [True, False]
    assert found.end.tolist() == [0, 0]
