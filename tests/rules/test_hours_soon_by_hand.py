"""Airspace whose published hours begin shortly after the window, asked by hand.

An hour is an own choice. The window of `tests.worlds` is 09:00 to 10:00 by the place's clock (UTC-10).
"""

import attrs
import pytest

from planner.plan.model import Purpose
from planner.rules.hours import published_hours
from planner.rules.near_times import hours_begin_soon
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import disc, plan, volume, world


def case(hours, kind=AirspaceKind.RESTRICTED, outline=None):
    return judged(plan(), world(airspace=(volume(kind, outline, schedule=hours),)))


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        ("0800-2200", False),  # active all along
        ("1000-2200", False),  # at its last moment it is active
        ("1001-2200", True),
        ("1059-2200", True),
        ("1102-2200", False),
        ("1200-2200", False),
        ("", False),
    ],
)
def test_hours_that_begin_within_an_hour_after_the_window_are_told(hours, told):
    assert len(list(hours_begin_soon(case(hours)))) == told


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        (AirspaceKind.RESTRICTED, True),
        (AirspaceKind.CLASS_D, True),
        (AirspaceKind.PARACHUTE, False),
        (AirspaceKind.OTHER, False),
    ],
)
def test_only_what_closes_or_asks_matters(kind, told):
    hours = "1030-2200; OTHER TIMES CLASS G" if kind is AirspaceKind.CLASS_D else "1030-2200"
    assert len(list(hours_begin_soon(case(hours, kind)))) == told


# check_values 1.13 (standing A) on extensions, 1.8 (standing B) on recreational flights in low Class E.
@pytest.mark.parametrize(
    ("kind", "purpose", "told"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107, True),
        (AirspaceKind.CLASS_E3, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, Purpose.PART_107, False),
    ],
)
def test_where_only_the_authority_can_say_who_may_fly_hours_matter_too(kind, purpose, told):
    soon = judged(plan(purpose), world(airspace=(volume(kind, schedule="1030-2200; OTHER TIMES CLASS G"),)))
    assert len(list(hours_begin_soon(soon))) == told
    assert len([one for one in published_hours(soon) if one.rule == "hours-not-active"]) == told


def test_what_is_not_flown_in_or_has_no_time_is_not_told():
    assert not list(hours_begin_soon(case("1030-2200", outline=disc(500.0, (20_000, 0)))))
    soon = case("1030-2200")
    assert list(hours_begin_soon(soon))
    assert not list(hours_begin_soon(attrs.evolve(soon, plan=attrs.evolve(soon.plan, window=None))))
    assert not list(hours_begin_soon(attrs.evolve(soon, mapped=None)))
