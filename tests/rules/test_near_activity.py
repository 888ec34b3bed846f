"""Training routes, parachute and glider sites beside the path: distance and true direction.

Distances are geodesic, by hand from the offsets they are made with (exact on the ellipsoid); 5 statute miles
are 8,046.72 m.
"""

import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.geometry import LegShape
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests import worlds


def judged(*volumes):
    path = worlds.points([(0, 0, 30.0), (400, 0, 30.0)], LegShape.STRAIGHT)
    return assess(worlds.plan(path=path), worlds.world(airspace=volumes))


def near(answer):
    return [one for one in answer.findings if one.rule == "activity-near"]


def site(kind, radius_m, centre, **changes):
    return worlds.volume(kind, worlds.disc(radius_m, centre), **changes)


@pytest.mark.parametrize(
    ("kind", "word"),
    [
        (AirspaceKind.PARACHUTE, "parachute jumping"),
        (AirspaceKind.GLIDER, "gliding"),
        (AirspaceKind.TRAINING_ROUTE, "training route"),
    ],
)
def test_how_far_and_where_to(kind, word):
    (found,) = near(judged(site(kind, 1_000.0, (0, 5_000), name="LARK (INVENTED)", schedule="SAT SUN")))
    assert found.mark is Mark.NOTE
    assert word in found.title
    assert found.numbers["distance_m"] == pytest.approx(4_000.0, abs=1.0)
    assert found.numbers["toward_true_deg"] % 360.0 == pytest.approx(0.0, abs=0.1)
    assert "4.00 km away" in found.message
    assert "SAT SUN" in found.message


def test_the_nearest_place_of_the_path_counts_and_the_nearest_site_comes_first():
    east = site(AirspaceKind.GLIDER, 500.0, (3_400, 0), name="EAST (INVENTED)")
    south = site(AirspaceKind.PARACHUTE, 500.0, (200, -2_000), name="SOUTH (INVENTED)")
    first, second = near(judged(east, south))
    assert (first.numbers["distance_m"], second.numbers["distance_m"]) == (
        pytest.approx(1_500.0, abs=1.0),
        pytest.approx(2_500.0, abs=1.0),
    )
    assert first.numbers["toward_true_deg"] == pytest.approx(180.0, abs=0.2)
    assert second.numbers["toward_true_deg"] == pytest.approx(90.0, abs=0.2)
    assert second.from_m == pytest.approx(400.0, abs=0.5)


def test_beyond_5_miles_and_other_kinds_say_nothing():
    assert near(judged(site(AirspaceKind.GLIDER, 1_000.0, (0, 9_060)))) == []
    assert near(judged(site(AirspaceKind.GLIDER, 1_000.0, (0, 9_030)))) != []
    assert near(judged(site(AirspaceKind.MILITARY_OPERATIONS, 1_000.0, (0, 3_000)))) == []


def test_a_path_inside_is_told_so():
    (found,) = near(judged(site(AirspaceKind.PARACHUTE, 3_000.0, (0, 1_000))))
    assert "leads through it" in found.message


def in_area(*volumes):
    """A box of 400 m about HERE and no path."""
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0))
    return assess(worlds.plan(path=(), area=area), worlds.world(airspace=volumes))


def test_beside_a_flying_area_the_nearest_of_it_counts():
    """By hand: its edge lies 200 m north, the site's 4,000 m."""
    (found,) = near(in_area(site(AirspaceKind.PARACHUTE, 1_000.0, (0, 5_000), name="LARK (INVENTED)")))
    assert found.mark is Mark.NOTE
    assert found.numbers["distance_m"] == pytest.approx(3_800.0, abs=1.0)
    assert found.from_m is None
    assert "from the nearest place of the flying area" in found.message
    (inside,) = near(in_area(site(AirspaceKind.GLIDER, 3_000.0, (0, 1_000))))
    assert "The flying area reaches into it" in inside.message
