"""What lies beneath, at the edges: what counts of a path, what is told together, who flies from a vehicle.

Heights of the path: 40 m up unless said otherwise. 14 CFR 107.25 (waivable by 107.200, A; its text from
memory, C); the rest is design of the program.
"""

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.units import FOOT_POUND_FORCE_J
from planner.world.sites import GroundFeature, GroundKind
from tests import worlds
from tests.worlds import at


def found(
    rule, *items, heights_m=((0, 40.0), (400, 40.0)), charts=None, speed_mps=None, craft=None, **changes
):
    """Findings of a rule for a path to the east at heights above ground."""
    path = worlds.points([(east_m, 0, height_m) for east_m, height_m in heights_m], LegShape.STRAIGHT)
    if speed_mps is not None:
        path = tuple(attrs.evolve(p, leg=attrs.evolve(p.leg, speed_mps=speed_mps)) for p in path)
    flight = attrs.evolve(worlds.plan(path=path, **changes), beneath=items)
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, **(craft or {})))
    return [each for each in assess(flight, charts or worlds.world()).findings if each.rule == rule]


def trees(height_m=25.0, west_m=150, east_m=250):
    corners = ((west_m, -20), (east_m, -20), (east_m, 20), (west_m, 20))
    return BeneathItem(
        BeneathKind.TREES, DrawnAs.AREA, tuple(at(*corner) for corner in corners), height_m=height_m
    )


LOW_BEFORE = ((0, 5.0), (100, 5.0), (140, 40.0), (400, 40.0))
LOW_AFTER = ((0, 40.0), (260, 40.0), (300, 5.0), (400, 5.0))


@pytest.mark.parametrize("heights_m", [LOW_BEFORE, LOW_AFTER])
def test_only_over_the_trees_the_path_must_be_above_them(heights_m):
    assert not found("into-cover", trees(), heights_m=heights_m)


@pytest.mark.parametrize(("height_m", "into"), [(39.9, False), (40.0, False), (40.1, True)])
def test_at_their_height_it_just_clears_them(height_m, into):
    (stop,) = found("into-cover", trees(height_m)) or (None,)
    assert (stop is not None) is into


def test_a_climb_is_held_against_trees_at_their_near_end():
    """From 10 m to 50 m over 400 m: over 150 to 250 m it is 25 to 35 m up."""
    climb = ((0, 10.0), (400, 50.0))
    assert found("into-cover", trees(25.3), heights_m=climb)
    assert not found("into-cover", trees(24.7), heights_m=climb)


# ---- what charts show is told together, what the pilot drew one by one


def charted_roads(*names_and_easts_m):
    """Roads that the path crosses at right angles."""
    roads = []
    for name, east in names_and_easts_m:
        ends = at(east, -80), at(east, 80)
        line = shapely.LineString([(place.lon_deg, place.lat_deg) for place in ends])
        roads.append(GroundFeature(GroundKind.ROAD, name, line))
    return worlds.world(ground_features=tuple(roads))


def test_charted_roads_are_one_finding_that_lists_where_they_are_crossed():
    """A road is 10 m wide where nobody says how wide (own choice); a name is told where it changes."""
    charts = charted_roads(("B", 300), ("A", 100), ("A", 200))
    (told,) = found("over-road", charts=charts)
    assert told.message.startswith(
        "A 95 m to 105 m at 90 degrees; 195 m to 205 m at 90 degrees; B 295 m to 305 m at 90 degrees. "
    )
    assert told.title == "Over a road"
    assert (told.from_m, told.to_m) == (pytest.approx(95, abs=0.1), pytest.approx(105, abs=0.1))
    assert dict(told.numbers) == {}


@pytest.mark.parametrize(("count", "more"), [(5, "."), (6, " and 1 more.")])
def test_of_many_crossings_five_are_listed(count, more):
    charts = charted_roads(*(("A", 60 * (number + 1)) for number in range(count)))
    (told,) = found("over-road", charts=charts)
    assert told.message.count("degrees") == 5
    assert f"295 m to 305 m at 90 degrees{more}" in told.message


def drawn(kind, *offsets, **changes):
    drawn_as = DrawnAs.SPOT if len(offsets) == 1 else DrawnAs.LINE
    return BeneathItem(kind, drawn_as, tuple(at(*one) for one in offsets), **changes)


def test_roads_that_the_pilot_drew_are_told_one_by_one():
    roads = [drawn(BeneathKind.ROAD, (east, -80), (east, 80), name=f"R{east}") for east in (100, 300)]
    told = found("over-road", *roads)
    assert [each.message.split(" ")[0] for each in told] == ["R100", "R300"]


def test_people_are_told_one_by_one_with_their_distance():
    people = [drawn(BeneathKind.PEOPLE, (200, north), name=f"P{north}") for north in (20, 25)]
    told = found("people-near", *people)
    # A spot of people is taken as 2 m to every side (own choice).
    assert [round(each.numbers["apart_m"]) for each in told] == [18, 23]
    for each in told:
        # Nearest about 200 m along, to the sample: they lie 30 m apart at most.
        assert each.from_m == each.to_m == pytest.approx(200, abs=31)
    own = found("own-distance", *people, own_people_distance_m=50.0)
    assert [each.mark for each in own] == [Mark.STOP, Mark.STOP]


# ---- the fall


def test_the_share_of_the_path_that_is_too_fast_for_its_height_is_told():
    """The second half dives to a few metres: at 12 m/s the fall reaches farther than it is high."""
    dive = ((0, 60.0), (200, 60.0), (210, 4.0), (400, 4.0))
    (note,) = found("fall-zone", heights_m=dive, speed_mps=12.0)
    assert "not enough on" in note.message
    length_m = float(note.message.split("not enough on ")[1].split(" m of")[0])
    assert 185 <= length_m <= 260
    (whole,) = found("fall-zone", heights_m=((0, 60.0), (400, 60.0)), speed_mps=12.0)
    assert "is enough ahead" in whole.message


def energy_told(note):
    return float(note.message.split("up to ")[1].split(" ft lbf")[0].replace(",", "")) * FOOT_POUND_FORCE_J


def test_without_drag_nothing_of_the_height_is_lost():
    """Energy of 0.62 kg that flies at 12 m/s and falls 40 m, by hand."""
    (note,) = found("fall-zone", speed_mps=12.0)
    assert energy_told(note) == pytest.approx(0.62 * (12.0**2 / 2 + 9.80665 * 40), rel=0.01)


@pytest.mark.parametrize(("flown_mps", "hits_mps"), [(5.0, 13.05), (20.0, 20.0)])
def test_with_drag_it_falls_no_faster_than_it_can_or_than_it_flew(flown_mps, hits_mps):
    """0.62 kg and 0.0675 m2: the square root of 2 m g / (rho A), by hand.

    No temperature is given: air at 1,000 ft 25 K warmer than standard, and 980 hPa at the sea (own choices),
    is of 1.058 kg/m3.
    """
    craft = {"performance": Performance(drag_area_m2=0.0675)}
    (note,) = found("fall-zone", speed_mps=flown_mps, craft=craft)
    assert energy_told(note) == pytest.approx(0.62 * hits_mps**2 / 2, rel=0.03)


# ---- from a moving vehicle


WAIVER = worlds.record("107.25", None, PermissionKind.WAIVER)


@pytest.mark.parametrize(
    ("vehicle", "waived", "mark"),
    [
        (FromVehicle(True, False), False, Mark.NOTE),
        (FromVehicle(True, False), True, Mark.NOTE),
        (FromVehicle(False, False), True, Mark.ACT),
        (FromVehicle(None, False), True, Mark.ACT),
        (FromVehicle(None, False), False, Mark.ACT),
        (FromVehicle(False, False), False, Mark.STOP),
        (FromVehicle(False, True), True, Mark.STOP),  # carried for hire is never waived
        (FromVehicle(True, True), True, Mark.STOP),
    ],
)
def test_flown_from_a_moving_vehicle(vehicle, waived, mark):
    held = (WAIVER,) if waived else ()
    (each,) = found("from-moving-vehicle", from_vehicle=vehicle, permissions=held)
    assert each.mark is mark


def test_a_recreational_flight_from_a_vehicle_follows_its_guidelines():
    (each,) = found(
        "from-moving-vehicle", from_vehicle=FromVehicle(False, True), purpose=Purpose.RECREATIONAL
    )
    assert each.mark is Mark.ACT
    assert not found("from-moving-vehicle")
