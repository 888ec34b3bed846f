"""How heavy and how fast, at the very limits.

14 CFR 107.3: small is less than 55 lb; 107.51(a): 87 kt over the ground (check_values 1.24, standing A).
Pound and knot are exact: 0.45359237 kg, 1,852 m an hour.
"""

import attrs
import pytest

from planner.assess import assess_live
from planner.plan.aircraft import Aircraft
from planner.plan.geometry import Leg
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from tests.worlds import plan, points, world

POUND_KG, KNOT_MPS = 0.45359237, 1852 / 3600


def found(rule, purpose=Purpose.PART_107, **changes):
    return [each for each in assess_live(plan(purpose, **changes), world()).findings if each.rule == rule]


@pytest.mark.parametrize(
    ("purpose", "mark"),
    [(Purpose.PART_107, Mark.STOP), (Purpose.RECREATIONAL, Mark.UNKNOWN), (None, Mark.UNKNOWN)],
)
@pytest.mark.parametrize(("pounds", "too_heavy"), [(54.99, False), (55.0, True), (55.01, True)])
def test_small_is_less_than_55_lb(purpose, mark, pounds, too_heavy):
    craft = Aircraft("INVENTED", pounds * POUND_KG, 0.35)
    told = found("weight-limit", purpose, aircraft=craft)
    assert [each.mark for each in told] == ([mark] if too_heavy else [])


def flown_at(*knots):
    """A path whose legs are flown at these speeds; after the last point none is."""
    path = points([(-500 + 200 * number, 0, 30.0) for number in range(len(knots))])
    return tuple(
        attrs.evolve(point, leg=Leg(speed_mps=None if speed is None else speed * KNOT_MPS))
        for point, speed in zip(path, knots, strict=True)
    )


@pytest.mark.parametrize(
    ("knots", "too_fast"),
    [
        ((87.0, None), False),
        ((87.1, None), True),
        ((20.0, 87.1, None), True),
        ((87.1, 20.0, None), True),
        ((20.0, 20.0, 99.0), False),  # nothing is flown after the last point
        ((None, None), False),
    ],
)
def test_87_kt_is_the_limit_of_the_fastest_leg(knots, too_fast):
    told = found("speed-limit", path=flown_at(*knots))
    assert [each.mark for each in told] == ([Mark.STOP] if too_fast else [])
    for each in told:
        assert each.numbers["speed_mps"] == pytest.approx(87.1 * KNOT_MPS)


@pytest.mark.parametrize("purpose", [Purpose.RECREATIONAL, None])
def test_the_statute_names_no_speed(purpose):
    assert not found("speed-limit", purpose, path=flown_at(120.0, None))


def test_without_a_path_nothing_is_too_fast():
    assert not found("speed-limit", path=())
    assert not found("speed-limit", path=flown_at(120.0))
