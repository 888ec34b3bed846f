"""What is drawn beneath, the other pilots, a moving vehicle: what can be one, the edits, the file."""

import json
import re

import pytest
import shapely

from planner.errors import PlanError, PlanFileError
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle, OtherPilot
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.model import Plan
from tests.plan.sample_plan import BENEATH, FULL_PLAN

HERE, THERE = Place(-150.2, 37.8), Place(-150.1, 37.8)
RING = (Place(0, 0), Place(0, 1), Place(1, 1))


@pytest.mark.parametrize(
    ("drawn_as", "places", "changes", "said"),
    [
        (DrawnAs.SPOT, (HERE, THERE), {}, "a spot beneath has one place"),
        (DrawnAs.SPOT, (), {}, "a spot beneath has one place"),
        (DrawnAs.LINE, (HERE,), {}, "fewer than 2 places"),
        (DrawnAs.AREA, RING[:2], {}, "fewer than 3 places"),
        (DrawnAs.AREA, (Place(0, 0), Place(1, 1), Place(1, 0), Place(0, 1)), {}, "cross each other"),
        (DrawnAs.SPOT, (HERE,), {"half_width_m": 0.0}, "not a number above zero"),
        (DrawnAs.SPOT, (HERE,), {"height_m": float("nan")}, "not a number from zero up"),
    ],
)
def test_what_can_not_be_drawn_is_refused(drawn_as, places, changes, said):
    with pytest.raises(PlanError, match=said):
        BeneathItem(BeneathKind.PEOPLE, drawn_as, places, **changes)


def test_another_pilot_has_a_name_and_a_frequency():
    with pytest.raises(PlanError, match="name is empty"):
        OtherPilot(" ", 5_800.0)
    with pytest.raises(PlanError, match="not from 20 to 100,000 MHz"):
        OtherPilot("INVENTED", -1.0)


def test_edits_add_change_reshape_and_remove():
    road, trees, driver = BENEATH
    plan = edits.AddBeneath(driver).apply(edits.AddBeneath(road).apply(Plan()))
    assert plan.beneath == (road, driver)
    assert edits.ReplaceBeneath(0, trees).apply(plan).beneath == (trees, driver)
    moved = edits.ReshapeBeneath(1, (THERE,)).apply(plan)
    assert moved.beneath[1].places == (THERE,)
    assert moved.beneath[1].name == driver.name
    assert edits.RemoveBeneath(0).apply(plan).beneath == (driver,)
    for edit in (
        edits.RemoveBeneath(2),
        edits.ReplaceBeneath(-1, road),
        edits.ReshapeBeneath(5, (HERE,)),
    ):
        with pytest.raises(PlanError, match="there is no item beneath"):
            edit.apply(plan)
    with pytest.raises(PlanError, match="a spot beneath has one place"):
        edits.ReshapeBeneath(1, (HERE, THERE)).apply(plan)


def test_edits_of_the_circumstances():
    pilots = (OtherPilot("INVENTED", 5_800.0),)
    assert edits.SetOtherPilots(list(pilots)).apply(Plan()).other_pilots == pilots
    assert edits.SetPeopleDistance(30.0).apply(Plan()).own_people_distance_m == 30.0
    vehicle = FromVehicle(sparsely_populated=False)
    plan = edits.SetFromVehicle(vehicle).apply(Plan())
    assert plan.from_vehicle == vehicle
    assert edits.SetFromVehicle(None).apply(plan).from_vehicle is None


def test_without_any_of_it_the_file_is_as_before():
    """Older programs read such a file, too: no key, no feature."""
    document = json.loads(plan_to_json(Plan()))
    assert not {"beneath", "other_pilots", "from_vehicle", "own_people_distance_m"} & set(document["lowline"])


@pytest.mark.parametrize("ring", [RING, RING[::-1]])
def test_either_way_round_an_area_reads_back_as_it_was_drawn(ring):
    plan = Plan(beneath=(BeneathItem(BeneathKind.GATHERING, DrawnAs.AREA, ring),))
    text = plan_to_json(plan)
    assert plan_from_json(text, where="text") == plan
    # RFC 7946 (A): exterior rings run counter-clockwise.
    assert shapely.LinearRing(json.loads(text)["features"][0]["geometry"]["coordinates"][0]).is_ccw


def _broken(change):
    document = json.loads(plan_to_json(FULL_PLAN))
    change(document)
    return json.dumps(document)


def _features(document):
    return [one for one in document["features"] if one["properties"]["lowline"] == "beneath"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d["lowline"]["beneath"].pop(), "beneath feature 3 but no entry"),
        (lambda d: d["features"].remove(_features(d)[0]), r"lowline.beneath\[0\] but no beneath feature 1"),
        (lambda d: d["lowline"]["beneath"][0].update(kind="hole"), "use one of road, trail"),
        (lambda d: d["lowline"]["beneath"][0].update(places=[]), "'places' is not known"),
        (lambda d: d["lowline"]["beneath"][0].update(drawn_as="spot"), "'drawn_as' is not known"),
        (lambda d: d["lowline"]["beneath"][1].pop("drawn_clockwise"), "drawn_clockwise: is missing"),
        (lambda d: _features(d)[1]["properties"].update(number=1), "two features of beneath 1"),
        (lambda d: _features(d)[2]["geometry"].update(type="MultiPoint"), "is a Point or LineString or Poly"),
        (lambda d: d["lowline"].update(other_pilots=5), "other_pilots: is 5, not a list"),
    ],
)
def test_a_broken_file_says_what_is_wrong(change, said):
    with pytest.raises(PlanFileError) as caught:
        plan_from_json(_broken(change), where="plan")
    assert re.search(said, caught.value.one_line())
