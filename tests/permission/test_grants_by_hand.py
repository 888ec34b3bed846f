"""What a record allows, place by place, and what is asked for beside it: figures put in by hand.

That a permission holds in the place and up to the height it names: 14 CFR 107.41 (check values 1, A); at a
fixed site up to what the chart gives it: 49 USC 44809(c). The ground is level at 300 m, or rises from there.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.permission.besides import Besides
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.need import PermissionNeed, Route, Subject
from planner.permission.records import Grant, grants_for, in_order, in_time, site_grants, speaks_of
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.track.samples import AreaSamples
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import WINDOW, at, disc, fixed_site, plan, points, record, volume, world

LOWEST_M = np.array([300.0, 320.0, 350.0])
NONE_M = np.full(3, -np.inf)


def samples(**columns):
    return AreaSamples(
        x_m=np.zeros(3),
        y_m=np.zeros(3),
        ground_amsl_m=LOWEST_M + 5.0,
        lowest_ground_amsl_m=LOWEST_M,
        planned_amsl_m=LOWEST_M + 30.0,
        launch_ground_amsl_m=310.0,
        footprint=shapely.Point(0, 0),
        columns={int(name[1:]): np.array(inside) for name, inside in columns.items()},
    )


@pytest.mark.parametrize(
    ("ceiling", "allowed_m"),
    [
        (AboveGround(60.0), LOWEST_M + 60.0),
        (AboveSeaLevel(375.0), np.full(3, 375.0)),
        (AboveLaunch(50.0), np.full(3, 360.0)),
        (None, NONE_M),
    ],
)
def test_up_to_what_height_a_record_allows(ceiling, allowed_m):
    """Above the ground it counts from the lowest that may be there (our own rule)."""
    grant = Grant(record("D", ceiling), ())
    assert grant.height_amsl_m(samples(), 310.0) == pytest.approx(allowed_m)


def test_what_names_no_height_holds_at_any_only_where_it_is_none_of_height():
    free = Grant(record("107.31", None), (), at_any_height=True)
    assert (free.height_amsl_m(samples(), 310.0) == np.inf).all()
    bound = Grant(record("107.31", 40.0), (), at_any_height=True)
    assert bound.height_amsl_m(samples(), 310.0) == pytest.approx(LOWEST_M + 40.0)


@pytest.mark.parametrize(("site_ft", "allowed_m"), [(None, 60.0), (100.0, 30.48), (300.0, 60.0)])
def test_at_a_site_no_higher_than_its_chart_gives(site_ft, allowed_m):
    grant = Grant(record("SITE", 60.0), (), fixed_site(ceiling_ft=site_ft))
    assert grant.height_amsl_m(samples(), 310.0) == pytest.approx(LOWEST_M + allowed_m)


def test_it_holds_where_all_its_outlines_do():
    there = samples(c4=[True, True, False], c7=[False, True, True])
    assert Grant(record("D", 60.0), ()).covers(there).tolist() == [True, True, True]
    assert Grant(record("D", 60.0), (4,)).covers(there).tolist() == [True, True, False]
    assert Grant(record("D", 60.0), (4, 7)).covers(there).tolist() == [False, True, False]


@pytest.mark.parametrize(
    ("name", "ident", "speaks"),
    [("A  field", "", True), ("B", "a FIELD", True), ("B", "XXB", False), ("B", "", False)],
)
def test_which_airspace_a_record_names(name, ident, speaks):
    assert speaks_of(record("A field", 60.0), name, ident) is speaks


def test_records_come_in_an_order_of_their_own():
    one, two = record("A", 60.0, reference="1"), record("B", 60.0, reference="2")
    assert in_order([two, one]) == in_order([one, two]) == [one, two]
    low, high = record("A", 60.0), record("A", 70.0)
    assert in_order([high, low]) == in_order([low, high])


def test_a_record_holds_for_the_whole_window_or_not_at_all():
    assert in_time(record("A", 60.0, valid_from_utc=WINDOW.start_utc, valid_to_utc=WINDOW.end_utc), WINDOW)
    assert not in_time(record("A", 60.0, valid_from_utc=WINDOW.end_utc), WINDOW)
    assert not in_time(record("A", 60.0), None)


@pytest.mark.parametrize("purpose", [Purpose.RECREATIONAL, Purpose.PART_107])
@pytest.mark.parametrize("kind", [PermissionKind.FIXED_SITE_AGREEMENT, PermissionKind.AUTHORIZATION])
@pytest.mark.parametrize("name", ["INVENTED MEADOW", "site", "ELSEWHERE"])
def test_only_a_recreational_flight_has_fixed_sites(purpose, kind, name):
    """49 USC 44809(c)."""
    held = record(name, 60.0, kind)
    case = judged(plan(purpose), world(fixed_sites=(fixed_site(),)))
    found = site_grants(held, case.plan, case.mapped, {PermissionKind.FIXED_SITE_AGREEMENT})
    holds = (
        purpose is Purpose.RECREATIONAL
        and kind is PermissionKind.FIXED_SITE_AGREEMENT
        and name != "ELSEWHERE"
    )
    assert [(one.record, one.columns, one.site.key) for one in found] == (
        [(held, tuple(case.mapped.sites), "site")] if holds else []
    )


@pytest.mark.parametrize(
    ("airspace", "opens"),
    [
        (AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION),
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
    ],
)
@pytest.mark.parametrize("kind", list(PermissionKind))
@pytest.mark.parametrize("name", ["X", "Y"])
def test_which_kind_of_record_opens_what(airspace, opens, kind, name):
    """14 CFR 107.41 and 107.45: controlled airspace by authorization, closed areas by their agency."""
    case = judged(
        plan(permissions=(record(name, 60.0, kind),)), world(airspace=(volume(airspace, name="X"),))
    )
    (there,) = case.mapped.airspace.values()
    found = grants_for(there, case.plan, case.mapped)
    assert len(found) == (1 if kind is opens and name == "X" else 0)
    late = attrs.evolve(case.plan, window=None)
    assert grants_for(there, late, case.mapped) == ()


@pytest.mark.parametrize(
    ("airspace", "purpose", "asked"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107, True),
        (AirspaceKind.CLASS_E4, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, Purpose.PART_107, False),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, None, False),
        (AirspaceKind.CLASS_D, Purpose.RECREATIONAL, False),
        (AirspaceKind.RESTRICTED, Purpose.RECREATIONAL, False),
    ],
)
def test_what_only_the_authority_can_say(airspace, purpose, asked):
    """49 USC 44809(a)(5)-(6), check values 1.13 (A)."""
    assert inquired_of(volume(airspace), purpose) is asked


@pytest.mark.parametrize("kind", list(PermissionKind))
@pytest.mark.parametrize(("name", "speaks"), [("X", True), ("xx4", True), ("Y", False)])
def test_its_answer_is_an_authorization_or_an_agency_s_word_in_time(kind, name, speaks):
    there = volume(AirspaceKind.CLASS_E4, name="X", ident="XX4")
    case = judged(plan(permissions=(record(name, 60.0, kind),)), world(airspace=(there,)))
    holds = speaks and kind in {PermissionKind.AUTHORIZATION, PermissionKind.AGENCY}
    assert len(answers_on(there, case.plan, case.mapped)) == holds
    assert not answers_on(there, attrs.evolve(case.plan, window=None), case.mapped)


def test_beside_a_flight_is_nothing_unless_it_is_said():
    assert Besides().shape.is_empty
    assert not Besides().on_lost_link
    inside = Besides(shapely.box(0, 0, 10, 10)).within(shapely.box(5, 0, 20, 10))
    assert inside.bounds == (5.0, 0.0, 10.0, 10.0)


def test_a_need_rests_on_its_records_of_which_some_are_agreements_of_a_site():
    """49 USC 44809(c): an agreement stands in place of an authorization. Unless said, all of it is drawn."""
    given = record("D", 60.0, reference="A1")
    agreed = record("MEADOW", 60.0, PermissionKind.FIXED_SITE_AGREEMENT, reference="A2")
    need = PermissionNeed(Subject.AIRSPACE, "D", "D", Route.AUTOMATED, record=given, beside=(agreed,))
    assert (need.records, need.references, need.agreements) == ((given, agreed), "A1, A2", (agreed,))
    assert (need.rise_m, need.not_drawn) == (0.0, False)


@pytest.mark.parametrize(
    ("east_m", "landing_m", "held"), [(200.0, 0.0, True), (400.0, 0.0, False), (200.0, 400.0, False)]
)
def test_a_site_counts_only_if_all_that_is_flown_there_lies_in_it(east_m, landing_m, held):
    """49 USC 44809(c): path, launch and landing, in Class D; the site reaches 300 m about the launch."""
    flight = plan(
        Purpose.RECREATIONAL,
        path=points([(0.0, 0.0, 30.0), (east_m, 0.0, 30.0)]),
        launch=GroundSpot(at(), LandStatus.OWN),
        landing=GroundSpot(at(0.0, landing_m), LandStatus.OWN),
    )
    (use,) = assess_live(
        flight, world(airspace=(volume(),), fixed_sites=(fixed_site(disc(300.0)),))
    ).case.uses
    assert bool(use.in_sites) is held
