"""What of a height asked for is drawn, and what is typed into a request: figures put in by hand (m).

The automated service gives no more than the lowest value of the cells touched (JO 7210.3 ch. 12 section 10,
check values 1). Sums and differences.
"""

import pytest

from planner.permission.need import PermissionNeed, Route, Subject


def need(route=Route.AUTOMATED, **given):
    return PermissionNeed(Subject.AIRSPACE, "D", "D", route, **given)


@pytest.mark.parametrize(
    ("given", "drawn_m"),
    [
        ({"asked_agl_m": 90.0}, 90.0),
        ({"asked_agl_m": 90.0, "rise_m": 30.0}, 60.0),
        ({"asked_agl_m": 90.0, "way_rise_m": 10.0}, 80.0),
        ({"asked_agl_m": 90.0, "rise_m": 30.0, "way_rise_m": 10.0}, 50.0),
        ({"asked_agl_m": 90.0, "not_drawn": True}, None),
        ({}, None),
        ({"not_drawn": True}, None),
    ],
)
def test_what_of_it_is_drawn(given, drawn_m):
    assert need(**given).drawn_agl_m == drawn_m


@pytest.mark.parametrize(
    ("route", "value_m", "error_m", "typed_m"),
    [
        (Route.AUTOMATED, 100.0, 3.0, 63.0),
        (Route.AUTOMATED, 62.0, 3.0, 62.0),
        (Route.AUTOMATED, None, 3.0, 63.0),
        (Route.AUTOMATED, 62.0, None, 60.0),
        (Route.AUTOMATED, 50.0, None, 60.0),  # without the readout's error nothing is added or taken
        (Route.FURTHER_COORDINATION, 62.0, 3.0, 63.0),
        (Route.AGENCY, 62.0, 3.0, 63.0),
        (Route.AUTOMATED, 62.0, 0.0, 60.0),
    ],
)
def test_what_is_typed_is_with_the_readouts_error_and_no_more_than_the_service_gives(
    route, value_m, error_m, typed_m
):
    assert need(route, cell_ceiling_agl_m=value_m).to_type_agl_m(60.0, error_m) == typed_m
