"""Floors and tops of Class E as the published layer codes them."""

import pytest

from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind, LimitReference, VerticalLimit
from planner.world.readers import class_airspace
from tests.world.chart_files import CLASS_D, table


# The published layer codes the floor of a transition area as 700 and SFC (two public readers of that file
# take it for 700 ft above the ground: standing B); check_values 1.13 (standing A): E5 is no surface area.
@pytest.mark.parametrize(
    ("local_type", "feet"), [("CLASS_E5", 700), ("CLASS_E5", "1200"), ("CLASS_E6", 700.0)]
)
def test_the_floor_of_a_transition_area_that_is_coded_from_the_surface_is_above_it(local_type, feet):
    row = {**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": "E", "LOWER_CODE": "SFC", "LOWER_VAL": feet}
    (volume,) = class_airspace.read(table({**row, "UPPER_VAL": -9998})).content.airspace
    assert volume.kind is AirspaceKind.CLASS_E_OTHER
    assert volume.floor == VerticalLimit(LimitReference.ABOVE_GROUND, pytest.approx(float(feet) * FOOT_M))


@pytest.mark.parametrize("local_type", ["CLASS_B", "CLASS_D", "CLASS_E2", "CLASS_E4", "CLASS_E", ""])
def test_a_floor_of_700_coded_from_the_surface_is_not_known_where_the_type_may_begin_there(local_type):
    letter = local_type.removeprefix("CLASS_")[:1] or "E"
    row = {**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": letter, "LOWER_CODE": "SFC", "LOWER_VAL": 700}
    (volume,) = class_airspace.read(table(row)).content.airspace
    assert volume.kind is not AirspaceKind.CLASS_E_OTHER
    assert volume.floor.reference is LimitReference.UNKNOWN


# FAA AIM 3-2-6 (from memory): Class E reaches up to the airspace over it; -9998 stands for nothing in the
# published layer (check_values 11a, from memory).
@pytest.mark.parametrize(
    ("local_type", "value", "reference"),
    [
        ("CLASS_E2", -9998, LimitReference.UNLIMITED),
        ("CLASS_E4", "-9998", LimitReference.UNLIMITED),
        ("CLASS_E2", None, LimitReference.UNLIMITED),
        ("CLASS_E2", -9998.0, LimitReference.UNLIMITED),
        ("CLASS_E2", "SOMEWHERE", LimitReference.UNKNOWN),
        ("CLASS_E2", 2500, LimitReference.SEA_LEVEL),
        ("CLASS_D", -9998, LimitReference.UNKNOWN),
    ],
)
def test_class_e_without_a_top_has_none(local_type, value, reference):
    row = {**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": local_type[6], "UPPER_VAL": value}
    assert class_airspace.read(table(row)).content.airspace[0].top.reference is reference
