"""Closed airspace of one name: which of it a record opens.

Restrictions are named after what goes on there, and told apart by the number of their notice (common
practice; 14 CFR 107.47 and 91.137 to 91.145 have them by notice). That one record opens no other is our own
rule.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess_live
from planner.permission.namesakes import called, identity
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import WINDOW, box, plan, points, record, volume, world

PATH = points([(-300, 0, 30.0), (300, 0, 30.0)])
WEST, EAST = box(-400, -60, -100, 60), box(100, -60, 400, 60)
KINDS = [AirspaceKind.TEMPORARY, AirspaceKind.STADIUM, AirspaceKind.RESTRICTED]


def two(kind, **of_both):
    west = volume(kind, WEST, name="HAZARDS", key="w", ident="7/1111", agency="FOREST (INVENTED)")
    east = volume(kind, EAST, name="HAZARDS", key="e", ident="7/2222", agency="FOREST (INVENTED)")
    return attrs.evolve(west, **of_both), attrs.evolve(east, **of_both)


def judged(volumes, *names, path=PATH):
    held = tuple(record(name, 120.0, PermissionKind.AGENCY, reference=name) for name in names)
    return assess_live(plan(path=path, permissions=held), world(airspace=volumes))


def needs(answer):
    return {need.airspace: need for need in answer.permissions}


@pytest.mark.parametrize("kind", KINDS)
def test_a_record_by_the_name_of_two_notices_opens_neither(kind):
    answer = judged(two(kind), "HAZARDS")
    assert answer.verdict is Verdict.MUST_CHANGE
    found = needs(answer)
    assert set(found) == {"HAZARDS (7/1111)", "HAZARDS (7/2222)"}
    assert not any(need.recorded for need in found.values())
    for name, need in found.items():
        assert need.shortfall.startswith("record HAZARDS names HAZARDS, as others near are called, too")
        assert f"let it name {name}" in need.shortfall


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("by", ["7/1111", "HAZARDS (7/1111)", "hazards  (7/1111)"])
def test_a_record_by_a_notice_opens_that_alone(kind, by):
    found = needs(judged(two(kind), by))
    assert found["HAZARDS (7/1111)"].recorded
    assert not found["HAZARDS (7/2222)"].recorded
    both = judged(two(kind), by, "7/2222")
    assert all(need.recorded for need in both.permissions)
    assert not any(one.rule == "enters-airspace" for one in both.findings)


@pytest.mark.parametrize(
    "alike",
    [{"ident": "7/1111"}, {"ident": " 7/1111 "}],
)
def test_parts_of_one_notice_are_one(alike):
    answer = judged(two(AirspaceKind.TEMPORARY, **alike), "HAZARDS")
    (need,) = answer.permissions
    assert need.airspace == "HAZARDS"
    assert need.recorded


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_notice_agencies_tell_them_apart_and_parts_of_one_are_one(kind):
    """So are the two spots of one stadium, and a restriction in two rows."""
    west, east = two(kind, ident="")
    (need,) = judged((west, east), "HAZARDS").permissions
    assert need.recorded
    answer = judged((west, attrs.evolve(east, agency="ARMY (INVENTED)")), "HAZARDS")
    assert len(answer.permissions) == 2
    assert not any(need.recorded for need in answer.permissions)
    assert "give each the number of its notice" in answer.permissions[0].shortfall


@pytest.mark.parametrize(("kind", "apart"), [(KINDS[0], True), (KINDS[1], True), (KINDS[2], False)])
def test_without_a_notice_what_is_closed_for_a_time_is_told_apart_by_when(kind, apart):
    """Two games on one day; a record names the one it is of."""
    west, east = two(kind, ident="")
    early, late = WINDOW.start_utc - timedelta(hours=1), WINDOW.start_utc + timedelta(minutes=1)
    both = (attrs.evolve(west, active_from_utc=early), attrs.evolve(east, active_from_utc=late))
    answer = judged(both, "HAZARDS")
    assert len(answer.permissions) == (2 if apart else 1)
    assert all(need.recorded is not apart for need in answer.permissions)
    if apart:
        name = f"HAZARDS ({late:%Y-%m-%d %H:%M} UTC)"
        assert f"let it name {name}" in needs(answer)[name].shortfall
        found = needs(judged(both, name))
        assert [each for each, need in found.items() if need.recorded] == [name]


def test_another_of_the_name_that_sleeps_or_is_not_there_takes_nothing_away():
    west, east = two(AirspaceKind.TEMPORARY)
    over = WINDOW.start_utc - timedelta(days=2), WINDOW.start_utc - timedelta(days=1)
    asleep = attrs.evolve(east, active_from_utc=over[0], active_to_utc=over[1])
    for others in ((), (asleep,), (attrs.evolve(east, name="OTHERS"),)):
        found = needs(judged((west, *others), "HAZARDS"))
        assert found["HAZARDS"].recorded


def test_controlled_airspace_is_known_by_its_name_alone():
    west, east = two(AirspaceKind.CLASS_D)
    assert identity(west) == identity(east) == ()
    assert called(west) == "HAZARDS (7/1111)"
    assert called(attrs.evolve(west, ident="hazards")) == "HAZARDS"
    held = record("HAZARDS", 120.0, PermissionKind.AUTHORIZATION)
    (need,) = assess_live(plan(path=PATH, permissions=(held,)), world(airspace=(west, east))).permissions
    assert need.recorded


PERMANENT = {
    AirspaceKind.PROHIBITED: "HAZARDS (prohibited area)",
    AirspaceKind.RESTRICTED: "HAZARDS (restricted area)",
    AirspaceKind.SECURITY: "HAZARDS (security restriction)",
    AirspaceKind.ZONE_PROHIBITED: "HAZARDS (closed zone)",
    AirspaceKind.ZONE_PERMISSION: "HAZARDS (zone by permission)",
}


def unlike(kind, other, **of_both):
    west, east = two(kind, **({"ident": "", "agency": ""} | of_both))
    return west, attrs.evolve(east, kind=other)


@pytest.mark.parametrize("other", [one for one in PERMANENT if one is not AirspaceKind.RESTRICTED])
@pytest.mark.parametrize("agency", ["", "ARMY (INVENTED)"])
def test_without_an_identifier_what_it_is_tells_them_apart(other, agency):
    """Prohibited and restricted areas are closed by different rules (14 CFR 73.13, 73.83)."""
    both = unlike(AirspaceKind.RESTRICTED, other, agency=agency)
    found = needs(judged(both, "HAZARDS"))
    assert set(found) == {PERMANENT[AirspaceKind.RESTRICTED], PERMANENT[other]}
    assert not any(need.recorded for need in found.values())
    for name, need in found.items():
        assert f"let it name {name}" in need.shortfall


@pytest.mark.parametrize("kind", PERMANENT)
def test_a_record_that_says_what_it_is_opens_that_alone(kind):
    other = AirspaceKind.RESTRICTED if kind is not AirspaceKind.RESTRICTED else AirspaceKind.PROHIBITED
    found = needs(judged(unlike(kind, other), PERMANENT[kind].upper()))
    assert [name for name, need in found.items() if need.recorded] == [PERMANENT[kind]]


def test_what_two_of_a_kind_are_called_opens_neither():
    """Of two agencies: their kind does not tell two restricted areas apart, nor one time two restrictions."""
    for kind in (AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY):
        west, east = two(kind, ident="", active_from_utc=WINDOW.start_utc - timedelta(hours=1))
        both = west, attrs.evolve(east, agency="ARMY (INVENTED)")
        answer = judged(both, called(west))
        assert called(west) == called(east) != "HAZARDS"
        assert not any(need.recorded for need in answer.permissions)
        assert all("give each the number of its notice" in need.shortfall for need in answer.permissions)


def test_alone_it_is_known_by_its_name_and_by_what_it_is():
    west, _ = two(AirspaceKind.RESTRICTED, ident="")
    for name in ("HAZARDS", "hazards (Restricted area)"):
        (need,) = judged((west,), name).permissions
        assert (need.airspace, need.recorded) == ("HAZARDS", True)


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY])
def test_what_an_agency_permits_is_no_answer_on_a_class_e_extension_of_that_name(kind):
    """Its word is of the closed airspace called so; where none is, it may be the authority's answer."""
    shut = volume(kind, WEST, name="HAZARDS", key="w")
    extension = volume(AirspaceKind.CLASS_E4, EAST, name="HAZARDS", key="e")
    assert Mark.UNKNOWN in marks(judged((shut, extension), "HAZARDS"))
    assert Mark.UNKNOWN not in marks(judged((extension,), "HAZARDS"))


def marks(answer):
    return [one.mark for one in answer.findings if one.rule == "class-e-extension"]
