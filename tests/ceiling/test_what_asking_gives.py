"""Where asking could give more than is allowed now: heights put in by hand; one centimetre is none."""

import math

import attrs
import pytest

from tests.rules.hand_made import complete


@pytest.mark.parametrize(
    ("allowed_m", "could_m", "more"),
    [
        (100.0, 120.0, True),
        (100.0, 100.02, True),
        (100.0, 100.005, False),
        (100.0, 100.0, False),
        (100.0, 90.0, False),
        (100.0, math.inf, True),
        (math.nan, 120.0, False),
        (100.0, math.nan, False),
    ],
)
def test_asking_helps_where_it_could_give_a_higher_limit(allowed_m, could_m, more):
    profile = complete().profile
    n = len(profile.ceiling_amsl_m)
    allowed, could = profile.ceiling_amsl_m * 0 + 100.0, profile.ceiling_amsl_m * 0 + 90.0
    allowed[3], could[3] = allowed_m, could_m
    asked = attrs.evolve(profile, ceiling_amsl_m=allowed, requestable_amsl_m=could).can_ask()
    assert asked.tolist() == [k == 3 and more for k in range(n)]
