"""What a record opens on a way that is not drawn: its outlines, and no higher than it says.

The rule is that of the path: an authorization holds up to the height it names (14 CFR 107.41), and what is
not settled never makes a plan ready (own rule of the house).
"""

import re
from types import SimpleNamespace

import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules import transit_airspace
from planner.rules.finding import Mark
from planner.rules.transit import undrawn_way
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import (
    GROUND_M,
    above_ground,
    area,
    at,
    box,
    ft,
    plan,
    points,
    record,
    sea_level,
    terrain,
    volume,
    world,
)

LOW = points([(0, 0, 30.0), (150, 0, 30.0)])


def gorge(depth_m):
    return terrain(lambda x_m, _y_m: np.where((x_m > -600) & (x_m < -200), GROUND_M - depth_m, GROUND_M))


def ways(launch, landing=(150, 0), *, path=LOW, purpose=Purpose.PART_107, charts=None, **changes):
    spots = {
        name: None if there is None else GroundSpot(at(*there), LandStatus.OWN)
        for name, there in (("launch", launch), ("landing", landing))
    }
    case = judged(plan(purpose, path=path, **{**spots, **changes}), world(**(charts or {})))
    return list(undrawn_way(case))


# On rims 800 m apart the way climbs from 0 to 30 m: over a gorge of 80 m it is at least 80 m above ground.
@pytest.mark.parametrize(
    ("allowed", "depth_m", "trouble"),
    [
        (AboveGround(ft(120)), 80.0, True),
        # 600 m along of 800, at the far end of the gorge, it is 22.5 m up, less within one cell.
        (AboveGround(101.0), 80.0, True),
        (AboveGround(103.0), 80.0, False),
        (AboveGround(ft(120)), 0.0, False),
        (AboveSeaLevel(GROUND_M + 30.0), 80.0, False),
    ],
)
def test_a_record_holds_on_the_way_as_high_as_it_says(allowed, depth_m, trouble):
    held = record("FIELD D", allowed)
    charts = {"airspace": (volume(name="FIELD D"),), "terrain": gorge(depth_m)}
    found = ways((-800, 0), permissions=(held,), charts=charts)
    if not trouble:
        assert found == []
        return
    (one,) = found
    assert one.mark is Mark.UNKNOWN
    assert "FIELD D above what its record allows" in one.message


def test_an_answer_on_class_e_holds_on_the_way_as_high_as_it_says():
    e4 = volume(AirspaceKind.CLASS_E4, name="FIELD E4")
    charts = {"airspace": (e4,), "terrain": gorge(80.0)}
    (one,) = ways((-800, 0), permissions=(record("FIELD E4", ft(120)),), charts=charts)
    assert "FIELD E4 above what its record allows" in one.message
    assert not ways((-800, 0), permissions=(record("FIELD E4", ft(400)),), charts=charts)


def test_a_record_opens_what_only_the_way_enters():
    """400 m of way with an airspace between: nothing drawn lies in it."""
    between = volume(AirspaceKind.RESTRICTED, box(-300, -200, -100, 200), name="BETWEEN R")
    charts, of = {"airspace": (between,)}, PermissionKind.AGENCY
    (one,) = ways((-400, 0), charts=charts)
    assert "leads through BETWEEN R." in one.message.replace(". Only", ".")
    assert not ways((-400, 0), permissions=(record("BETWEEN R", 60.0, of),), charts=charts)
    part = area(box(-250, -200, -100, 200), None).ring
    (one,) = ways((-400, 0), permissions=(record("BETWEEN R", 60.0, of, ring=part),), charts=charts)
    assert "leads through BETWEEN R" in one.message
    assert "above what" not in one.message
    # A quarter of the way along, at its lowest there, it is 7.5 m up; at its end, three quarters, 22.5.
    (one,) = ways((-400, 0), permissions=(record("BETWEEN R", 20.0, of),), charts=charts)
    assert "above what its record allows" in one.message


def test_what_wants_an_authorization_is_asked_for_on_a_way_that_alone_enters_it():
    between = volume(outline=box(-300, -200, -100, 200), name="BETWEEN D")
    spots = {
        "launch": GroundSpot(at(-400, 0), LandStatus.OWN),
        "landing": GroundSpot(at(150, 0), LandStatus.OWN),
    }
    for held, recorded in ((None, False), (60.0, True), (20.0, False)):
        records = () if held is None else (record("BETWEEN D", held),)
        flight = plan(path=LOW, permissions=records, **spots)
        (use,) = judged(flight, world(airspace=(between,))).uses
        assert (use.need.not_drawn, use.need.recorded) == (True, recorded)
        assert use.need.asked_agl_m == pytest.approx(22.5, abs=0.05)
        assert ("above record" in use.need.shortfall) is (held == 20.0)
        assert not ways((-400, 0), permissions=records, charts={"airspace": (between,)})


def band(low_m=5.0, high_m=25.0, kind=AirspaceKind.TEMPORARY):
    outline = box(-50, -50, 50, 50)
    return volume(kind, outline, above_ground(low_m), above_ground(high_m), name="THIN T")


@pytest.mark.parametrize("launch", [(0, 0), (0.5, 0), (-2, 0)])
def test_a_closed_band_straight_above_the_launch_is_not_passed_in_silence(launch):
    (one,) = ways(launch, charts={"airspace": (band(),)})
    assert one.mark is Mark.UNKNOWN
    assert "leads through THIN T" in one.message


def test_straight_down_to_the_landing_counts_too():
    path = points([(150, 0, 30.0), (0, 0, 30.0)])
    (one,) = ways((150, 0), (0, 0), path=path, charts={"airspace": (band(),)})
    assert "from the path to the landing point" in one.title
    assert "Straight up or down it leads through THIN T" in one.message


@pytest.mark.parametrize("shut", [band(31.0, 60.0), band(5.0, 25.0, AirspaceKind.WARNING)])
def test_what_lies_above_the_column_or_closes_nothing_is_no_matter(shut):
    assert not ways((0, 0), charts={"airspace": (shut,)})


def test_a_record_that_reaches_over_the_band_opens_the_column():
    shut = {"airspace": (band(),)}
    assert not ways((0, 0), permissions=(record("THIN T", 25.0, PermissionKind.AGENCY),), charts=shut)
    (one,) = ways((0, 0), permissions=(record("THIN T", 24.0, PermissionKind.AGENCY),), charts=shut)
    assert "above what its record allows" in one.message


@pytest.mark.parametrize(("floor_ft", "over_ft"), [(450, 50), (420, 20), (400, None), (380, None)])
def test_under_a_shelf_that_lifts_the_limit_the_climb_passes_class_g(floor_ft, over_ft):
    """49 USC 44809(a)(6): 400 ft in Class G, whatever is authorized above (check_values 1.4, 1.6)."""
    shelf = volume(AirspaceKind.CLASS_C, floor=sea_level(GROUND_M + ft(floor_ft)), name="SHELF C")
    path = points([(0, 0, ft(500)), (150, 0, ft(500))])
    held = (record("SHELF C", ft(600)),)
    flight = {"path": path, "purpose": Purpose.RECREATIONAL, "permissions": held}
    found = ways((0, 0), (150, 0), charts={"airspace": (shelf,)}, **flight)
    assert [one.mark for one in found] == ([Mark.ACT] * 2 if over_ft else [])
    for one in found:
        told = int(re.search(r"up to (\d+) ft higher than the limit there", one.message)[1])
        # Told at one of 201 heights, 2.5 ft apart, rounded up.
        assert over_ft - 2.5 <= told <= over_ft + 1


def test_a_band_that_the_path_itself_enters_is_told_there():
    path = points([(0, 0, 20.0), (150, 0, 20.0)])
    assert not ways((0, 0), path=path, charts={"airspace": (band(),)})


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
def test_a_request_asks_for_the_height_of_ways_that_are_not_drawn(kind):
    """Over a gorge of 60 m the way is higher above ground than the path; granted so, all is open."""
    names = PermissionKind.AGENCY if kind is AirspaceKind.RESTRICTED else PermissionKind.AUTHORIZATION
    flight = {
        "path": LOW,
        "launch": GroundSpot(at(-800, 0), LandStatus.OWN),
        "landing": GroundSpot(at(150, 0), LandStatus.OWN),
    }
    charts = world(airspace=(volume(kind, name="V"),), terrain=gorge(60.0))
    (asked,) = requests_for(assess(plan(Purpose.PART_107, **flight), charts))
    # 600 m along of 800 it is 22.5 m over the rim.
    assert asked.highest_agl_m == pytest.approx(82.5, abs=1.0)
    held = record("V", asked.highest_agl_m, names, ring=asked.area.ring)
    granted = assess(plan(Purpose.PART_107, permissions=(held,), **flight), charts)
    through = [one for one in granted.findings if one.rule == "way-not-drawn" and one.mark is Mark.UNKNOWN]
    assert not [one for one in through if "above what its record allows" in one.message]


@pytest.mark.parametrize(
    ("kind", "uses", "drawn", "told"),
    [
        # Whether each use of the airspace has a record, and whether the drawn flight enters it.
        (AirspaceKind.CLASS_D, (False,), False, True),
        (AirspaceKind.CLASS_D, (True,), True, False),
        (AirspaceKind.CLASS_D, (True, False), False, True),
        (AirspaceKind.CLASS_D, (), True, False),
        (AirspaceKind.RESTRICTED, (False,), True, True),
        (AirspaceKind.RESTRICTED, (), True, True),
        (AirspaceKind.RESTRICTED, (), False, False),
        (AirspaceKind.RESTRICTED, (False,), False, False),
        (AirspaceKind.RESTRICTED, (True,), True, False),
        (AirspaceKind.RESTRICTED, (True, False), True, False),
    ],
)
def test_whether_it_is_told_anyway_that_an_airspace_has_to_be_asked_for(monkeypatch, kind, uses, drawn, told):
    """Ways that are not drawn count among what wants an authorization alone: our own rule (issue 4)."""
    monkeypatch.setattr(transit_airspace, "flown", lambda *_: drawn)
    found = tuple(SimpleNamespace(volumes=(7,), need=SimpleNamespace(recorded=one)) for one in uses)
    other = SimpleNamespace(volumes=(8,), need=SimpleNamespace(recorded=False))
    case = SimpleNamespace(uses=(*found, other), plan=plan(Purpose.PART_107))
    assert transit_airspace._told_anyway(case, 7, volume(kind)) is told
