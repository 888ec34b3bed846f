"""Surfaces about airports (14 CFR part 77) against the rule's figures.

They speak of construction, not of aircraft in flight; here they only tell
where other aircraft are low. Standing beside each check. Lengths in feet.
"""

import attrs
import numpy as np
import pytest
import shapely

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
    assert np.isnan(conical_m(4001 * FOOT_M))


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
    assert np.isnan(APPROACHES[Approach.VISUAL].height_m(5001 * FOOT_M))


def test_heliport_surfaces():
    """77.23 (B, rest C): 8:1 civil, 10:1 military to 4,000 ft; 2:1 for 250 ft from the centre line."""
    assert feet(heliport_approach_m(800 * FOOT_M)) == pytest.approx(100)
    assert feet(heliport_approach_m(800 * FOOT_M, military=True)) == pytest.approx(80)
    assert np.isnan(heliport_approach_m(4001 * FOOT_M))
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


@pytest.mark.parametrize(
    ("x_ft", "surface_ft"), [(-200, 1000), (0, 1000), (1500, 1015), (3000, 1030), (6000, 1060), (6200, 1060)]
)
def test_the_primary_surface_slopes_with_the_runway(x_ft, surface_ft):
    """77.19(c) (A): any point of it is as high as the nearest point of the runway's centre line."""
    first, last = RUNWAY.ends
    sloping = attrs.evolve(RUNWAY, ends=(first, attrs.evolve(last, elevation_amsl_m=1060 * FOOT_M)))
    found = by_runway(sloping, np.array([x_ft * FOOT_M]), np.array([0.0]))
    assert feet(found.surface_amsl_m[0]) == pytest.approx(surface_ft, abs=0.01)


def test_extended_centre_line():
    found = by_runway(RUNWAY, np.array([-2200 * FOOT_M, 3000 * FOOT_M]), np.array([100 * FOOT_M, 0.0]))
    assert feet(found.beyond_m) == pytest.approx([2200, 0])
    assert feet(found.aside_m) == pytest.approx([100, 0])
    assert found.in_approach.tolist() == [True, False]
    assert found.end.tolist() == [0, 0]


def test_beside_a_precision_approach():
    """77.19(e) (A): 7:1, and up to 5,000 ft from the approach surface beyond the conical one.

    By hand, 40,000 ft out from the primary surface: half of 1,000 and 0.8 of 15,000 ft wide, 200 ft and
    30,000 at 40:1 high.
    """
    half_ft, over_ft = (1000 + 15_000 * 0.8) / 2, 200 + 30_000 / 40
    places = [(6200 + 40_000, half_ft + 4_900), (6200 + 40_000, half_ft + 5_100), (-200 - 4_900, 3_000)]
    x_ft, y_ft = np.array(places).T
    found = feet(by_runway(RUNWAY, x_ft * FOOT_M, y_ft * FOOT_M).surface_amsl_m)
    assert found[0] == pytest.approx(1000 + over_ft + 4_900 / 7, abs=0.01)
    assert np.isnan(found[1])
    # Beside the visual approach the horizontal surface is the lowest.
    assert found[2] == pytest.approx(1150, abs=0.01)


def twin_ft(runway, x_ft, y_ft):
    """The lowest surface over a place, by areas and distances of a general-purpose library (shapely).

    Its own reading of 77.19 (a) to (e); feet; the runway lies along the x axis from 0, all ends at 1,000 ft.
    """
    kinds = {  # inner and outer width, slope and length, once more, radius of the arcs
        Approach.UTILITY_VISUAL: (250, 1250, 20, 5000, 0, 0, 5000),
        Approach.UTILITY_NONPRECISION: (500, 2000, 20, 5000, 0, 0, 5000),
        Approach.VISUAL: (500, 1500, 20, 5000, 0, 0, 5000),
        Approach.NONPRECISION_FAR: (500, 3500, 34, 10000, 0, 0, 10000),
        Approach.NONPRECISION_LOW: (1000, 4000, 34, 10000, 0, 0, 10000),
        Approach.PRECISION: (1000, 16000, 50, 10000, 40, 40000, 10000),
    }
    place, length = shapely.Point(x_ft, y_ft), feet(runway.length_m)
    ends = [kinds[end.approach] for end in runway.ends]
    axis = shapely.LineString([(-200, 0), (length + 200, 0)])
    half = max(end[0] for end in ends) / 2
    over = []
    from_arcs = axis.distance(place) - max(end[6] for end in ends)
    if from_arcs <= 4000:
        over.append(150 + max(from_arcs, 0) / 20)
    beside = shapely.box(-200, -half, length + 200, half).distance(place)
    if -200 <= x_ft <= length + 200 and beside / 7 <= 150:
        over.append(beside / 7)
    for side, (inner, outer, first, reach, then, further, _) in zip((-1, 1), ends, strict=True):
        begin, total = -200 if side < 0 else length + 200, reach + further
        out = side * (x_ft - begin)
        if not 0 <= out <= total:
            continue
        trapezoid = shapely.Polygon(
            [
                (begin, -inner / 2),
                (begin + side * total, -outer / 2),
                (begin + side * total, outer / 2),
                (begin, inner / 2),
            ]
        )
        across = trapezoid.intersection(shapely.LineString([(x_ft, -20_000), (x_ft, 20_000)]))
        aside = across.distance(place)
        up = min(out, reach) / first + (max(out - reach, 0) / then if then else 0)
        if from_arcs <= 4000 or aside <= (5000 if further else 1e-6):
            over.append(up + aside / 7)
    return 1000 + min(over) if over else np.nan


@pytest.mark.parametrize(("one", "other"), [(0, 1), (2, 5), (3, 4), (5, 5)])
def test_surfaces_against_a_second_reading_of_the_rule(one, other):
    kinds = list(Approach)
    runway = Runway(
        (
            RunwayEnd("09", 0.0, 0.0, 1000 * FOOT_M, kinds[one]),
            RunwayEnd("27", 5000 * FOOT_M, 0.0, 1000 * FOOT_M, kinds[other]),
        ),
        1000 * FOOT_M,
    )
    random = np.random.default_rng(one)
    x_ft, y_ft = random.uniform(-55_000, 60_000, 600), random.uniform(-16_000, 16_000, 600)
    x_ft[::3], y_ft[::3] = random.uniform(-6_000, 11_000, 200), random.uniform(-2_500, 2_500, 200)
    found = feet(by_runway(runway, x_ft * FOOT_M, y_ft * FOOT_M).surface_amsl_m)
    told = [twin_ft(runway, x, y) for x, y in zip(x_ft.tolist(), y_ft.tolist(), strict=True)]
    assert found == pytest.approx(told, abs=0.01, nan_ok=True)
    assert 50 < np.isfinite(told).sum() < 600
