"""When a report's visibility counts as less than the one typed, and when sight is asked anew, by hand.

1/4 SM are 402.3 m (statute mile 1,609.344 m), in which an aircraft is found to 0.3 of it, 121 m (European
guidance, read in secondary descriptions). That less than a hundredth is none is our own rule.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.rules.sight_against_report import _reaches_beyond
from tests.rules.test_flight_rules import finding
from tests.rules.test_sight_against_report import NEAR_M, flown

TOLD = SimpleNamespace(m=402.336)


@pytest.mark.parametrize(
    ("typed_m", "is_less"), [(300.0, False), (402.0, False), (402.336, False), (405.0, False), (410.0, True)]
)
def test_less_than_a_hundredth_apart_is_the_same(typed_m, is_less):
    answer = flown("1/4SM", NEAR_M, typed_m=typed_m)
    assert (finding(answer, "sight-against-report") is not None) is is_less


def seen(of_path=(), of_area=()):
    profiles, area = (
        tuple(SimpleNamespace(slant_range_m=np.array(one)) for one in each) for each in (of_path, of_area)
    )
    return SimpleNamespace(sight=SimpleNamespace(profiles=profiles, area=area))


@pytest.mark.parametrize(
    ("case", "asked"),
    [
        # Within 100 m of the 121 m, as what lies between two samples may be farther away.
        (seen([(5.0, 25.0)]), True),
        (seen([(5.0, 15.0)]), False),
        (seen([(5.0,), (25.0,)]), True),
        (seen([(25.0,), (5.0,)]), True),
        (seen([(5.0,)], [(25.0,)]), True),
        (seen([(25.0,)], [(5.0,)]), True),
        (seen([(25.0, np.nan)]), True),
        (seen([(np.nan,)]), False),
        (seen(), False),
        (SimpleNamespace(sight=None), False),
    ],
)
def test_sight_is_asked_anew_where_anything_lies_that_far_from_anybody(case, asked):
    assert _reaches_beyond(case, TOLD) is asked
