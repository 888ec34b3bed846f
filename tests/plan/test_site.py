"""Sites: what of a plan belongs to the place, copied whole and kept as open JSON."""

import json
import re

import attrs
import pyogrio
import pytest
from hypothesis import given, settings

from planner.errors import PlanError, PlanFileError
from planner.geo.place import Place
from planner.plan.edits import TakeSite
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan
from planner.plan.sheet import Landmark, SheetNotes
from planner.plan.site import at_site, site_of
from planner.plan.site_library import read_sites, write_sites
from planner.plan.standing import StandArea
from tests.strategies import plans

HERE = Place(-150.2, 37.8)
RING = (HERE, Place(-150.19, 37.8), Place(-150.19, 37.81))
FLIGHT = Plan(
    name="Ridge, evening (INVENTED)",
    launch=GroundSpot(HERE, LandStatus.PERMITTED, "A. Owner (invented)"),
    landing=GroundSpot(RING[1], LandStatus.PUBLIC),
    stand_areas=(StandArea(RING, "bank"),),
    sheet=SheetNotes(
        landmark=Landmark("the mast", RING[2]),
        gate="end of the track",
        emergency_number="000",
        on_foot="wire at the road",
        landowner_contact="A. Owner",
        first_aid="red bag",
        insurance="policy 1",
        most_wind_mps=8.0,
    ),
)


def test_a_site_holds_what_belongs_to_the_place_and_nothing_of_the_flight():
    site = site_of(FLIGHT, " Sheer Head ")
    assert site.name == "Sheer Head"
    assert (site.launch, site.landing, site.stand_areas) == (
        FLIGHT.launch,
        FLIGHT.landing,
        FLIGHT.stand_areas,
    )
    assert site.sheet == attrs.evolve(FLIGHT.sheet, first_aid="", insurance="", most_wind_mps=None)


@settings(max_examples=40, deadline=None)
@given(plans(), plans())
def test_a_plan_taken_to_a_site_is_at_it_and_keeps_all_else(plan, other):
    try:
        site = site_of(other, "There")
    except PlanError:
        assert other.launch is None
        return
    taken = TakeSite(site).apply(plan)
    assert site_of(taken, "There") == site
    assert at_site(taken, site) == taken
    moved = {"launch", "landing", "stand_areas", "sheet"}
    assert attrs.evolve(taken, **{name: getattr(plan, name) for name in moved}) == plan
    for name in ("calls", "most_wind_mps", "most_gust_mps", "first_aid", "extinguisher", "insurance"):
        assert getattr(taken.sheet or SheetNotes(), name) == getattr(plan.sheet or SheetNotes(), name)


@pytest.mark.parametrize(("plan", "name"), [(FLIGHT, " "), (FLIGHT, ""), (Plan(), "Here")])
def test_without_a_name_or_a_launch_point_there_is_no_site(plan, name):
    with pytest.raises(PlanError, match="site"):
        site_of(plan, name)


def test_the_file_is_open_and_reads_back_the_same(tmp_path):
    """Outside reader of one site: GDAL's GeoJSON driver."""
    sites = (site_of(FLIGHT, "Sheer Head"), site_of(attrs.evolve(FLIGHT, landing=None, sheet=None), "Other"))
    write_sites(sites, tmp_path / "sites.json")
    assert read_sites(tmp_path / "sites.json") == sites
    plain = json.loads((tmp_path / "sites.json").read_text("utf-8"))
    one = tmp_path / "one.geojson"
    one.write_text(json.dumps(plain["sites"][0]), "utf-8")
    assert pyogrio.read_info(one)["features"] >= 3


def _of(**changes):
    return json.dumps({"lowline_site_library": 1, "sites": []} | changes)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{ no", ""),
        ("[]", ""),
        ("{}", "no library of sites"),
        (_of(lowline_site_library=2), "version 1"),
        (_of(lowline_site_library=True), "no library of sites"),
        (_of(sites={}), "list of sites"),
        (_of(more=1), "something else"),
        (_of(sites=[3]), r"sites\[0\]"),
        (_of(sites=[{"type": "FeatureCollection", "features": []}]), r"sites\[0\]"),
    ],
)
def test_a_file_that_is_no_library_is_refused_in_one_line(tmp_path, text, says):
    path = tmp_path / "sites.json"
    path.write_text(text, "utf-8")
    with pytest.raises(PlanFileError) as refused:
        read_sites(path)
    line = refused.value.one_line()
    assert "sites.json" in line
    assert "\n" not in line
    assert re.search(says, line)


def test_a_plan_that_holds_more_and_two_of_one_name_are_refused(tmp_path):
    path = tmp_path / "sites.json"
    write_sites([attrs.evolve(site_of(FLIGHT, "A"), guidelines="of a club")], path)
    with pytest.raises(PlanFileError, match="more than a site"):
        read_sites(path)
    write_sites([site_of(FLIGHT, "A"), site_of(FLIGHT, "A")], path)
    with pytest.raises(PlanFileError, match="two sites"):
        read_sites(path)
