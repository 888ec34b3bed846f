"""What is struck straight on, against brute force: each way walked in small steps past each structure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.flight.obstacles import Obstacles
from planner.flight.struck import struck

STEPS = 4_001


def towers(rng, count):
    return Obstacles(
        keys=tuple(str(k) for k in range(count)),
        x_m=rng.uniform(-100, 100, count),
        y_m=rng.uniform(-100, 100, count),
        top_amsl_m=rng.uniform(0, 80, count),
        radius_m=rng.uniform(1, 20, count),
    )


def walked(begin, end, some):
    """Lowest clearance of each way over each tower that it comes near enough to; inf where none is struck."""
    share = np.linspace(0.0, 1.0, STEPS)[:, None, None]
    x_m, y_m, z_m = (a[:, None] + (b - a)[:, None] * share for a, b in zip(begin, end, strict=True))
    inside = np.hypot(x_m - some.x_m, y_m - some.y_m) <= some.radius_m
    clearance = np.where(inside, z_m - some.top_amsl_m, np.inf).min(axis=0)
    return np.where(clearance <= 0, clearance, np.inf)


@given(st.integers(0, 2**32 - 1))
def test_what_is_struck_is_what_walking_the_way_meets(seed):
    rng = np.random.default_rng(seed)
    some = towers(rng, 12)
    begin = tuple(rng.uniform(low, high, 6) for low, high in ((-100, 100), (-100, 100), (0, 90)))
    end = tuple(axis + rng.uniform(-60, 60, 6) for axis in begin)
    found = struck(begin, end, some, None, None)
    slow = walked(begin, end, some)
    best = slow.min(axis=1)
    # A step is 0.03 m of way at most, so heights differ by as much.
    sure = np.abs(np.where(np.isfinite(best), best, 1.0)) > 0.05
    both = np.isfinite(found.clearance_m) & np.isfinite(best)
    assert found.clearance_m[both] == pytest.approx(best[both], abs=0.05)
    assert (found.clearance_m[both] <= best[both] + 1e-9).all()
    assert not (np.isfinite(best) & sure & np.isinf(found.clearance_m)).any()
    assert ((found.obstacle >= 0) == np.isfinite(found.clearance_m)).all()


def test_a_way_of_no_length_strikes_what_it_stands_in():
    one = Obstacles(("a",), np.zeros(1), np.zeros(1), np.array([50.0]), np.array([5.0]))
    still = np.array([3.0]), np.array([0.0]), np.array([20.0])
    assert struck(still, still, one, None, None).clearance_m == pytest.approx([-30.0])
    beside = np.array([6.0]), np.array([0.0]), np.array([20.0])
    assert np.isinf(struck(beside, beside, one, None, None).clearance_m).all()
