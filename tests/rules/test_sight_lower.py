"""Lower as a cure of too great a distance: worked out by hand, and flown as the remedy says."""

import math
import re

import attrs
import pytest

from planner.assess import assess
from planner.units import FOOT_M
from tests.worlds import plan, points, world

# A 0.35-m rotorcraft is judged within 134.45 m (check_values 2, standing B).
JUDGED_M = 134.45


def flight(height_m, north_m=40.0, **changes):
    untried = tuple(attrs.evolve(member, tried_ranges=()) for member in plan().crew)
    path = points([(-10, north_m, height_m), (10, north_m, height_m)])
    return plan(path=path, crew=untried, **changes)


def remedies(flown, rule):
    return [one.remedy for one in assess(flown, world()).findings if one.rule == rule]


def lower_ft(remedy):
    found = re.search(r"^fly (\d+) ft lower at", remedy)
    return int(found.group(1)) if found else None


def test_what_is_too_high_to_be_judged_is_cured_by_flying_as_much_lower_as_the_remedy_says():
    """From the launch the ends are hypot(10, 40) m out: what is left of 134.45 m is how high it may be."""
    found = [lower_ft(remedy) for remedy in remedies(flight(150.0), "distance-not-tried")]
    needed_m = 150.0 - 1.7 - math.sqrt(JUDGED_M**2 - 10.0**2 - 40.0**2)
    assert found
    assert max(found) == pytest.approx(needed_m / FOOT_M, abs=1.1)
    drop_m = max(found) * FOOT_M
    assert remedies(flight(150.0 - drop_m), "distance-not-tried") == []
    assert remedies(flight(150.0 - drop_m + 1.0), "distance-not-tried") != []


def test_what_is_too_high_to_be_found_is_cured_the_same_way():
    """Visibility 440 m: found within 132 m."""
    stops = remedies(flight(160.0, visibility_m=440.0), "too-far-to-see")
    drop_m = max(map(lower_ft, stops)) * FOOT_M
    assert remedies(flight(160.0 - drop_m, visibility_m=440.0), "too-far-to-see") == []


def test_what_is_too_far_out_is_not_cured_by_flying_lower():
    (remedy, *_) = remedies(flight(20.0, north_m=200.0), "distance-not-tried")
    assert lower_ft(remedy) is None
    assert "nearer at" in remedy
