"""A visibility typed beside a report of less: open where the flight is not found in that, else to be done.

The aircraft is found at 0.3 of the visibility (European guidance, read in secondary descriptions); that a
recreational flight, too, is kept in sight is 49 USC 44809(a)(3) (standing A). A report of 1/4SM are 402 m
(WMO FM 15; statute mile 1,609.344 m): found at 120 m. What is typed has no time (own reasoning). Ground,
crew and reports are invented.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.geometry import Area
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests.rules.test_flight_rules import finding
from tests.worlds import at, plan, points, record, world

FAR_M, NEAR_M = 300.0, 60.0


def report(visibility):
    return PlannedWeather(metar=f"XX01 121853Z 00000KT {visibility} SKC 15/10 A2992")


def flown(visibility, far_m, *, typed_m=30_000.0, **given):
    weather = report(visibility) if visibility else None
    path = points([(0, 0, 40.0), (far_m, 0, 40.0)])
    return assess(plan(path=path, weather=weather, visibility_m=typed_m, **given), world())


@pytest.mark.parametrize("purpose", list(Purpose))
@pytest.mark.parametrize(
    ("visibility", "far_m", "mark"),
    [
        ("1/4SM", FAR_M, Mark.UNKNOWN),
        ("M1/4SM", FAR_M, Mark.UNKNOWN),
        # 0.3 of 1/2 SM is 241 m, of 3/4 SM 362 m.
        ("1/2SM", FAR_M, Mark.UNKNOWN),
        ("3/4SM", FAR_M, Mark.ACT),
        ("1/4SM", NEAR_M, Mark.ACT),
        ("10SM", FAR_M, None),
    ],
)
def test_what_the_difference_would_change(purpose, visibility, far_m, mark):
    answer = flown(visibility, far_m, purpose=purpose)
    found = finding(answer, "sight-against-report")
    assert (found.mark if found else None) is mark
    assert finding(answer, "too-far-to-see") is None
    assert mark is not Mark.UNKNOWN or answer.verdict is not Verdict.READY
    assert mark is not Mark.UNKNOWN or "In the visibility of the report: it is too far away" in found.message


def test_a_recreational_flight_in_reported_fog_is_open_and_typed_so_it_is_a_stop():
    fog = flown("1/4SM", FAR_M, purpose=Purpose.RECREATIONAL, guidelines="INVENTED")
    assert fog.verdict is Verdict.UNDETERMINED
    (open_one,) = (one for one in fog.findings if one.mark in (Mark.UNKNOWN, Mark.STOP))
    assert open_one.rule == "sight-against-report"
    typed = flown("", FAR_M, typed_m=402.0, purpose=Purpose.RECREATIONAL)
    assert finding(typed, "too-far-to-see").mark is Mark.STOP


def test_an_area_is_held_against_it_likewise():
    corners = tuple(at(x, y) for x, y in ((-200, -200), (200, -200), (200, 200), (-200, 200)))
    around = attrs.evolve(
        plan(), path=(), area=Area(corners, AboveGround(20.0)), weather=report("1/4SM"), visibility_m=30_000.0
    )
    found = finding(assess(around, world()), "sight-against-report")
    assert found.mark is Mark.UNKNOWN
    assert found.message.endswith("part of the area is too far away.")
    clear = attrs.evolve(around, weather=report("1SM"))
    assert finding(assess(clear, world()), "sight-against-report").mark is Mark.ACT


def test_where_sight_is_waived_it_is_something_to_do():
    waiver = record("14 CFR 107.31", None, PermissionKind.WAIVER)
    assert finding(flown("1/4SM", FAR_M), "sight-against-report").mark is Mark.UNKNOWN
    assert finding(flown("1/4SM", FAR_M, permissions=(waiver,)), "sight-against-report").mark is Mark.ACT
