"""Which of what is flown an aerodrome is told of, and the words for where it lies: put in by hand.

That the nearer counts where both meet as much is our own rule.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely
from shapely import affinity

from planner.rules import near_traffic as rule
from planner.rules.near_traffic import near_traffic, traffic_of
from planner.world.sites import Frequency, GroundFeature, GroundKind
from tests.rules.test_near_by_hand import CASE, FIELD, TRACK, traffic
from tests.worlds import HERE


@pytest.mark.parametrize(("first_m", "second_m"), [(5_000.0, 4_000.0), (4_000.0, 5_000.0)])
def test_of_path_and_area_that_meet_as_much_the_nearer_is_told(first_m, second_m, monkeypatch):
    """A field at HERE, farther off than anything of it is met; two samples so far to the north."""

    def flown(north_m):
        return attrs.evolve(
            rule.flown_along(TRACK), outline=shapely.Point(0.0, north_m), y_m=0.0 * TRACK.y_m + north_m
        )

    monkeypatch.setattr(rule, "flown_unheld", lambda _case: ())
    monkeypatch.setattr(rule, "flown_of", lambda _case: (flown(first_m), flown(second_m)))
    charts = attrs.evolve(CASE.world, aerodromes=(attrs.evolve(FIELD, place=HERE),))
    (one,) = traffic_of(attrs.evolve(CASE, world=charts))
    assert not one.meets
    assert one.near.distance_m == pytest.approx(4_000.0, abs=1.0)


@pytest.mark.parametrize(
    ("what", "at_m", "distance_m", "words"),
    [
        ("The flying area", None, 0.0, "It lies inside the flying area."),
        ("The way home on lost link", None, 0.0, "It lies beneath the way home on lost link."),
        (
            "The way home on lost link",
            None,
            500.0,
            "500 m away, 45 degrees true from the nearest place of the way",
        ),
        ("The path", 70.0, 0.0, "0 m away, 45 degrees true from 70 m along."),
        ("The path", 70.0, 500.0, "500 m away, 45 degrees true from 70 m along."),
    ],
)
def test_where_it_lies_from_what_comes_there(what, at_m, distance_m, words, monkeypatch):
    one = traffic(at_m=at_m)
    one = attrs.evolve(one, what=what, near=attrs.evolve(one.near, distance_m=distance_m))
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (one,))
    (told,) = near_traffic(CASE)
    assert told.message.startswith(words)


@pytest.mark.parametrize("turned_deg", [0, 15, 90, 165])
@pytest.mark.parametrize(("long_m", "wide_m"), [(400.0, 30.0), (30.0, 400.0)])
def test_a_runway_drawn_as_an_area_ends_in_the_middle_of_its_short_sides(long_m, wide_m, turned_deg):
    """Whichever of its sides comes first in the oblong about it: 400 m apart, about its middle (geometry)."""
    flat = shapely.box(-long_m / 2, -wide_m / 2, long_m / 2, wide_m / 2)
    (one, other) = np.array(rule._ends(affinity.rotate(flat, turned_deg)))
    along = np.deg2rad(turned_deg + (0 if long_m > wide_m else 90))
    assert np.abs(one + other).max() == pytest.approx(0.0, abs=1e-6)
    assert abs((one - other) @ (np.cos(along), np.sin(along))) == pytest.approx(400.0)


def test_of_a_countrys_charts_only_what_belongs_to_it_is_kept():
    runway, road = GroundKind.RUNWAY, GroundKind.ROAD
    shape = shapely.Point(0.0, 0.0)
    features = [
        GroundFeature(kind, name, shape)
        for kind, name in ((runway, "XX01 09/27"), (runway, "XX02 18/36"), (road, "XX01 09/27"), (runway, ""))
    ]
    heard = [
        Frequency(ident, use, mhz, shape)
        for ident, use, mhz in (("XX01", "CTAF", 122.8), ("XX02", "TWR", 118.3), ("XX01", "ATIS", 127.5))
    ]
    charts = SimpleNamespace(ground_features=features, frequencies=heard)
    kept = rule._Charted.of(charts, frozenset({"XX01", "XX03"}))
    assert kept.runways == {"XX01": [features[0]], "XX03": []}
    assert kept.frequencies == {"XX01": [("CTAF", 122.8), ("ATIS", 127.5)], "XX03": []}
    assert rule._Charted.of(charts, frozenset()).runways == {}
