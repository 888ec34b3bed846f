"""Controlled airspace: who must ask, by which route, up to what height. Uncertainties are zero."""

import json

import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.permission.need import Route
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import ft_from_m
from planner.world.airspace import AirspaceKind
from planner.world.readers.publisher_file import read_publisher_file
from tests import worlds
from tests.worlds import (
    GROUND_M,
    SURFACE,
    above_ground,
    cell,
    ft,
    hover,
    plan,
    record,
    recreational,
    sea_level,
    volume,
    world,
)

CLASS_D = "INVENTED CLASS-D"
CONTROLLED = [AirspaceKind.CLASS_B, AirspaceKind.CLASS_C, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2]


def need_of(answer):
    return next(need for need in answer.permissions if need.airspace == CLASS_D)


def heights_ft(answer, name) -> np.ndarray:
    return ft_from_m(getattr(answer.profile, name) - answer.track.ground_amsl_m)


# Source: 49 USC 44809(a)(5) and JO 7210.3 ch. 12, check_values 1.5. Standing A.
# "UASFM cell 150 -> 150; cell 0 -> none available; no cell -> authorization required, ceiling unknown".
def test_recreational_ceiling_is_what_the_cell_gives():
    answer = assess(recreational(path=hover(ft(100))), world(airspace=(volume(),), cells=(cell(150),)))
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert need_of(answer).route is Route.AUTOMATED
    assert ft_from_m(need_of(answer).cell_ceiling_agl_m) == pytest.approx(150)
    assert heights_ft(answer, "requestable_amsl_m") == pytest.approx(150, abs=0.01)
    assert heights_ft(answer, "ceiling_amsl_m") == pytest.approx(0, abs=0.01)
    assert set(answer.profile.binding) == {Binding.NO_PERMISSION}


def test_recreational_cell_of_zero_gives_nothing():
    answer = assess(recreational(path=hover(ft(100))), world(airspace=(volume(),), cells=(cell(0),)))
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert need_of(answer).route is Route.ASK_AUTHORITY
    assert heights_ft(answer, "requestable_amsl_m") == pytest.approx(0, abs=0.01)


def test_recreational_without_a_cell_is_undetermined():
    answer = assess(recreational(path=hover(ft(100))), world(airspace=(volume(),)))
    assert answer.verdict is Verdict.UNDETERMINED
    assert "no-facility-map-value" in {finding.rule for finding in answer.findings}
    assert need_of(answer).cell_ceiling_agl_m is None
    assert np.isnan(answer.profile.requestable_amsl_m).all()


# The same statute, (a)(5) and (a)(6): the 400 ft are of Class G; in controlled airspace what is
# authorized counts, above 400 ft too (a process to exceed the map exists for fixed sites, (c)(2)(B)).
# Check values 1.5 and 1.6, standing A.
@pytest.mark.parametrize(
    ("planned_ft", "recorded_ft", "verdict"),
    [
        (100, 150, Verdict.READY),
        (151, 150, Verdict.PERMISSION_NEEDED),
        (600, 700, Verdict.READY),
        (701, 700, Verdict.PERMISSION_NEEDED),
    ],
)
@pytest.mark.parametrize("by_site", [False, True])
def test_recreational_in_controlled_airspace_goes_as_high_as_is_authorized(
    planned_ft, recorded_ft, verdict, by_site
):
    charts = world(airspace=(volume(),), cells=(cell(400),), fixed_sites=(worlds.fixed_site(),))
    paper = (
        record("INVENTED MEADOW", ft(recorded_ft), PermissionKind.FIXED_SITE_AGREEMENT)
        if by_site
        else record(CLASS_D, ft(recorded_ft))
    )
    answer = assess(recreational(path=hover(ft(planned_ft)), permissions=(paper,)), charts)
    assert answer.verdict is verdict
    if verdict is Verdict.READY:
        assert heights_ft(answer, "ceiling_amsl_m") == pytest.approx(recorded_ft, abs=0.01)
        assert set(answer.profile.binding) == {Binding.PERMITTED_HEIGHT}


def test_a_recreational_record_for_controlled_airspace_does_not_reach_into_class_g():
    """49 USC 44809(a)(6): outside, 400 ft hold, whatever was authorized inside. Standing A."""
    charts = world(airspace=(volume(outline=worlds.box(-5_000, -5_000, 0, 5_000)),), cells=(cell(400),))
    path = worlds.points([(-300, 5, ft(600)), (300, 5, ft(600))])
    answer = assess(recreational(path=path, permissions=(record(CLASS_D, ft(700)),)), charts)
    assert answer.verdict is Verdict.MUST_CHANGE
    stop = next(finding for finding in answer.findings if finding.mark is Mark.STOP)
    assert stop.from_m == pytest.approx(300, abs=0.1)
    assert stop.to_m == pytest.approx(answer.track.length_m)


# The same reading: what lies between 400 ft and a shelf's floor, no record of the shelf opens.
@pytest.mark.parametrize(
    ("planned_ft", "recorded", "verdict"),
    [
        (450, True, Verdict.MUST_CHANGE),
        (600, True, Verdict.READY),
        (600, False, Verdict.PERMISSION_NEEDED),
        (701, True, Verdict.PERMISSION_NEEDED),
    ],
)
def test_a_shelf_above_400_ft_opens_only_itself(planned_ft, recorded, verdict):
    shelf = volume(AirspaceKind.CLASS_C, floor=above_ground(ft(500)))
    charts = world(airspace=(shelf,), cells=(cell(400),))
    papers = (record(shelf.name, ft(700)),) if recorded else ()
    assert assess(recreational(path=hover(ft(planned_ft)), permissions=papers), charts).verdict is verdict


def test_part_107_keeps_to_400_ft_in_controlled_airspace():
    """14 CFR 107.51(b) holds in any airspace. Standing A (check_values 1.1, 1.9)."""
    charts = world(airspace=(volume(),), cells=(cell(400),))
    answer = assess(plan(path=hover(ft(450)), permissions=(record(CLASS_D, ft(700)),)), charts)
    assert answer.verdict is Verdict.MUST_CHANGE


# Source: 49 USC 44809(c)(1)-(2), check_values 1.6. Standing A: in controlled airspace a fixed site needs
# an agreed operating procedure with the facility.
@pytest.mark.parametrize(
    ("agreed", "outline", "verdict"),
    [
        (True, None, Verdict.READY),
        (False, None, Verdict.PERMISSION_NEEDED),
        # Launch and path lie outside the site: its agreement does not reach there.
        (True, worlds.disc(300.0, (2_000.0, 0.0)), Verdict.PERMISSION_NEEDED),
    ],
)
def test_fixed_site_in_controlled_airspace(agreed, outline, verdict):
    charts = world(airspace=(volume(),), cells=(cell(0),), fixed_sites=(worlds.fixed_site(outline),))
    agreement = record("INVENTED MEADOW", ft(300), PermissionKind.FIXED_SITE_AGREEMENT)
    answer = assess(recreational(path=hover(ft(250)), permissions=(agreement,) if agreed else ()), charts)
    assert answer.verdict is verdict
    if outline is None and not agreed:
        assert need_of(answer).route is Route.FIXED_SITE


# Source: JO 7210.3 ch. 12 sec. 10, check_values 1.9. Standing A.
def test_375_ft_is_an_error_in_the_data(tmp_path):
    feature = {
        "type": "Feature",
        "geometry": shapely.geometry.mapping(worlds.box(-500, -500, 500, 500)),
        "properties": {"CEILING": 375, "UNIT": "Feet", "MAP_EFF": "5/14/2026", "APT1_LAANC": 1},
    }
    file = tmp_path / "cells.geojson"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    (odd,) = read_publisher_file(file, None).cells
    assert odd.ceiling_agl_m is None


@pytest.mark.parametrize("purpose", Purpose)
def test_then_no_value_is_known(purpose):
    answer = assess(plan(purpose, path=hover(ft(100))), world(airspace=(volume(),), cells=(cell(None),)))
    assert need_of(answer).cell_ceiling_agl_m is None
    assert answer.verdict is not Verdict.READY


def test_one_cell_without_a_value_spoils_the_others():
    """A flight in several cells takes the lowest (facility map flow chart); one unknown, all unknown."""
    cells = (cell(200, worlds.box(-9_000, -9_000, 0, 9_000)), cell(None, worlds.box(0, -9_000, 9_000, 9_000)))
    answer = assess(recreational(), world(airspace=(volume(),), cells=cells))
    assert need_of(answer).cell_ceiling_agl_m is None
    assert answer.verdict is Verdict.UNDETERMINED


def test_the_structure_allowance_does_not_survive_in_controlled_airspace():
    """402-ft tower inside Class D, cell 400, planned 600: headquarters must coordinate. Standing A."""
    mast = worlds.tower(402)
    charts = world(airspace=(volume(),), cells=(cell(400),), structures=(mast,))
    flight = {"path": hover(ft(600), (30.0, 0.0)), "structures_standing": frozenset({mast.key})}
    answer = assess(plan(**flight), charts)
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert need_of(answer).route is Route.HEADQUARTERS
    assert heights_ft(answer, "requestable_amsl_m") == pytest.approx(400, abs=0.01)
    too_low = assess(plan(**flight, permissions=(record(CLASS_D, ft(400)),)), charts)
    assert too_low.verdict is Verdict.PERMISSION_NEEDED
    granted = assess(plan(**flight, permissions=(record(CLASS_D, ft(600)),)), charts)
    assert granted.verdict is Verdict.READY


# Source: JO 7210.3 ch. 12 sec. 9 and the facility map flow chart, check_values 1.10. Standing A.
@pytest.mark.parametrize(
    ("purpose", "cell_ft", "planned_ft", "route"),
    [
        (Purpose.RECREATIONAL, 200, 200, Route.AUTOMATED),
        (Purpose.RECREATIONAL, 200, 250, Route.ASK_AUTHORITY),
        (Purpose.RECREATIONAL, 0, 100, Route.ASK_AUTHORITY),
        (Purpose.PART_107, 200, 200, Route.AUTOMATED),
        (Purpose.PART_107, 200, 250, Route.FURTHER_COORDINATION),
        (Purpose.PART_107, 0, 100, Route.FURTHER_COORDINATION),
    ],
)
@pytest.mark.parametrize("kind", CONTROLLED)
def test_route_by_cell_and_height(purpose, cell_ft, planned_ft, route, kind):
    charts = world(airspace=(volume(kind, name=CLASS_D),), cells=(cell(cell_ft),))
    answer = assess(plan(purpose, path=hover(ft(planned_ft) - 1e-7)), charts)
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert need_of(answer).route is route


def test_never_says_that_the_manual_route_is_closed():
    """Check values 1.10: say "not through the automated service", never "not obtainable". Standing A."""
    charts = world(airspace=(volume(),), cells=(cell(200),))
    answer = assess(recreational(path=hover(ft(250))), charts)
    words = " ".join(f"{f.title} {f.message} {f.remedy}" for f in answer.findings).lower()
    assert "not through the automated service" in words
    assert "obtainable" not in words


def test_further_coordination_says_how_far_ahead():
    """Up to 90 days ahead, check_values 1.10. Standing A; the 72 hours: B, so marked as secondary."""
    answer = assess(plan(path=hover(ft(100))), world(airspace=(volume(),), cells=(cell(0),)))
    assert "90 days" in need_of(answer).lead_time
    assert "secondary" in need_of(answer).lead_time


@pytest.mark.parametrize("order", [1, -1])
def test_a_flight_in_several_cells_takes_the_lowest_value(order):
    """Facility map flow chart, check_values 1.10. Standing A."""
    west, east = worlds.box(-9_000, -9_000, 200, 9_000), worlds.box(200, -9_000, 9_000, 9_000)
    cells = (cell(300, west), cell(100, east))[::order]
    answer = assess(recreational(), world(airspace=(volume(),), cells=cells))
    assert ft_from_m(need_of(answer).cell_ceiling_agl_m) == pytest.approx(100)
    assert set(need_of(answer).cells) == {"cell 300", "cell 100"}


def test_a_cell_without_the_automated_service_is_asked_for_otherwise():
    """Cells carry whether the service answers (APT1_LAANC), check_values 11a. Standing B."""
    charts = world(airspace=(volume(),), cells=(cell(200, automated=False),))
    assert need_of(assess(plan(), charts)).route is Route.FURTHER_COORDINATION
    assert need_of(assess(recreational(), charts)).route is Route.ASK_AUTHORITY


# Source: JO 7210.3 ch. 19 sec. 6, check_values 1.11. Standing A: a letter of agreement can't replace an
# authorization under Part 107, and nothing is authorized by phone.
@pytest.mark.parametrize("kind", [PermissionKind.FIXED_SITE_AGREEMENT, PermissionKind.AGENCY])
def test_only_an_authorization_opens_controlled_airspace_under_part_107(kind):
    charts = world(airspace=(volume(),), cells=(cell(400),), fixed_sites=(worlds.fixed_site(),))
    for name in (CLASS_D, "INVENTED MEADOW"):
        called_the_tower = record(name, ft(400), kind, reference="called the tower")
        assert assess(plan(permissions=(called_the_tower,)), charts).verdict is Verdict.PERMISSION_NEEDED


# Source: 14 CFR 107.41 and 49 USC 44809(a)(5), check_values 1.13. Standing A.
@pytest.mark.parametrize("purpose", Purpose)
@pytest.mark.parametrize("kind", CONTROLLED)
def test_surface_areas_need_authorization(kind, purpose):
    charts = world(airspace=(volume(kind),), cells=(cell(400),))
    answer = assess(plan(purpose), charts)
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert answer.permissions[0].airspace_class == kind.value.removeprefix("class-")[0].upper()


@pytest.mark.parametrize("floor_ft", [700, 1200])
def test_a_transition_area_needs_nothing(floor_ft):
    """E5: no (700/1200-ft floor). Standing A."""
    charts = world(airspace=(volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(ft(floor_ft))),))
    answer = assess(plan(path=hover(ft(400) - 1e-4)), charts)
    assert answer.verdict is Verdict.READY
    assert not answer.permissions


# Source: check_values 1.8, a summary of H.R. 6460. Standing B: the authority reads the law so that
# recreational flight is allowed in E2 and in no other Class E; 44809(a)(6) itself (A) names Class G alone.
@pytest.mark.parametrize(
    ("purpose", "floor", "verdict"),
    [
        (Purpose.RECREATIONAL, sea_level(GROUND_M - 1.0), Verdict.UNDETERMINED),
        (Purpose.RECREATIONAL, SURFACE, Verdict.UNDETERMINED),
        (Purpose.RECREATIONAL, above_ground(ft(90)), Verdict.UNDETERMINED),
        (Purpose.RECREATIONAL, above_ground(ft(110)), Verdict.READY),
        (Purpose.PART_107, sea_level(GROUND_M - 1.0), Verdict.READY),
    ],
)
def test_a_recreational_flight_in_other_class_e_is_never_a_silent_yes(purpose, floor, verdict):
    charts = world(airspace=(volume(AirspaceKind.CLASS_E_OTHER, floor=floor),))
    answer = assess(plan(purpose, path=hover(ft(100))), charts)
    assert answer.verdict is verdict
    found = [finding for finding in answer.findings if finding.rule == "class-e-recreational"]
    assert len(found) == (verdict is Verdict.UNDETERMINED)
    assert all("44809(a)(6)" in finding.citation for finding in found)


def test_the_authoritys_answer_on_that_class_e_counts_when_recorded():
    charts = world(airspace=(volume(AirspaceKind.CLASS_E_OTHER, floor=SURFACE),))
    paper = record(charts.airspace[0].name, ft(100))
    asked = plan(Purpose.RECREATIONAL, path=hover(ft(100)), permissions=(paper,))
    assert assess(asked, charts).verdict is Verdict.READY


@pytest.mark.parametrize("purpose", Purpose)
@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E4])
def test_extensions_are_never_a_silent_no(kind, purpose):
    """A 2018 memo says no, AIM 3-2-6 counts extensions: ask, and name both. Standing A."""
    charts = world(airspace=(volume(kind),))
    answer = assess(plan(purpose), charts)
    assert answer.verdict is Verdict.UNDETERMINED
    finding = next(f for f in answer.findings if f.rule == "class-e-extension")
    assert "2018" in finding.citation
    assert "AIM 3-2-6" in finding.citation


def test_an_answer_about_an_extension_counts_only_as_far_as_it_goes():
    charts = world(airspace=(volume(AirspaceKind.CLASS_E4),))
    name = charts.airspace[0].name
    for paper, verdict in (
        (record(name, None), Verdict.UNDETERMINED),
        (record(name, 40.0), Verdict.READY),
        (record(name, 20.0), Verdict.UNDETERMINED),
        (record(name, 40.0, ring=worlds.area(worlds.disc(100.0), None).ring), Verdict.UNDETERMINED),
    ):
        assert assess(plan(permissions=(paper,)), charts).verdict is verdict


# Source: check_values 1.14 (Savannah Class C shelf). Standing B: floor 1,300 MSL over 50-ft ground, plan
# 400 AGL = 450 MSL: none. Floor at the surface: yes.
def test_under_the_shelf_nothing_is_needed():
    shelf = volume(AirspaceKind.CLASS_C, floor=sea_level(ft(1300)), top=sea_level(ft(4000)))
    charts = world(terrain=worlds.terrain(worlds.level(ft(50))), airspace=(shelf,))
    answer = assess(plan(path=hover(AboveSeaLevel(ft(450) - 1e-4))), charts)
    assert answer.verdict is Verdict.READY
    assert not answer.permissions


def test_from_the_surface_up_it_is():
    core = volume(AirspaceKind.CLASS_C, top=sea_level(ft(4000)))
    charts = world(terrain=worlds.terrain(worlds.level(ft(50))), airspace=(core,), cells=(cell(400),))
    assert assess(plan(path=hover(AboveSeaLevel(ft(450) - 1e-4))), charts).permissions


# The same comparison, floor_MSL > planned_MSL at the point, over ground that a flat map forgets: at 1,000
# ft the floor is 300 ft up. Design of the program; floor 0.1 ft either side.
@pytest.mark.parametrize(
    ("planned_msl_ft", "verdict"),
    [(1299.9, Verdict.READY), (1300, Verdict.PERMISSION_NEEDED), (1350, Verdict.PERMISSION_NEEDED)],
)
def test_high_ground_under_the_shelf(planned_msl_ft, verdict):
    shelf = volume(AirspaceKind.CLASS_C, floor=sea_level(ft(1300)), top=sea_level(ft(4000)))
    charts = world(airspace=(shelf,), cells=(cell(400),))
    answer = assess(plan(path=hover(AboveSeaLevel(ft(planned_msl_ft)))), charts)
    assert pytest.approx(ft(1000)) == GROUND_M
    assert answer.verdict is verdict
    told = [each.message for each in answer.findings if each.rule == "airspace-authorization"]
    assert bool(told) is (verdict is Verdict.PERMISSION_NEEDED)
    for message in told:
        assert "floor at 1,300 ft above sea level" in message
    assert ft_from_m(answer.profile.ceiling_amsl_m) == pytest.approx(1300, abs=1e-6)
    assert set(answer.profile.binding) == {Binding.AIRSPACE_FLOOR}


# Source: 14 CFR part 73 and 107.45, check_values 1.17. Standing A.
@pytest.mark.parametrize("kind", [AirspaceKind.PROHIBITED, AirspaceKind.RESTRICTED])
def test_prohibited_and_restricted_areas_stop_the_flight(kind):
    closed = volume(kind)
    assert assess(plan(), world(airspace=(closed,))).verdict is Verdict.MUST_CHANGE
    agency = record(closed.name, ft(400), PermissionKind.AGENCY)
    assert assess(plan(permissions=(agency,)), world(airspace=(closed,))).verdict is Verdict.READY
    authority = record(closed.name, ft(400), PermissionKind.AUTHORIZATION)
    assert assess(plan(permissions=(authority,)), world(airspace=(closed,))).verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize("kind", [AirspaceKind.MILITARY_OPERATIONS, AirspaceKind.WARNING, AirspaceKind.ALERT])
def test_areas_of_other_activity_are_a_caution(kind):
    answer = assess(plan(), world(airspace=(volume(kind),)))
    assert answer.verdict is Verdict.READY
    assert "other-activity" in {finding.rule for finding in answer.findings if finding.mark is Mark.ACT}


# Source: 14 CFR 91.145 and check_values 1.18 (A/B): a ring of 3 NM = 5,556 m, 5,555 inside, 5,557 outside.
# Open within 8 m of it: GPS SPS Performance Standard 2020, from memory, and our own rule (issue 6).
@pytest.mark.parametrize(
    ("distance_m", "verdict"),
    [(5_555, Verdict.MUST_CHANGE), (5_557, Verdict.UNDETERMINED), (5_565, Verdict.READY)],
)
def test_a_ring_of_three_nautical_miles(distance_m, verdict):
    ring = volume(AirspaceKind.STADIUM, worlds.disc(5_556.0, (distance_m, 0.0)), top=above_ground(ft(3000)))
    # 720 corners: the ring's sides lie up to 5 cm inside the circle.
    assert assess(plan(path=hover(30.0)), world(airspace=(ring,))).verdict is verdict
