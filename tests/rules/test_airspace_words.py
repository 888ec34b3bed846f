"""What is said of an airspace that is entered: whom to ask, for how much, and what is not known.

Which way is open for which height: check_values 1.9 and 1.10 (JO 7210.3 ch. 12, standing A); that extensions
and Class E over Class G are asked about: check_values 1.8 (sources part, standing B).
"""

import re
from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveSeaLevel
from planner.geo.window import TimeWindow
from planner.permission.need import Rise, Subject
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.airspace import permission_findings
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import (
    GROUND_M,
    above_ground,
    at,
    box,
    cell,
    disc,
    ft,
    hover,
    plan,
    points,
    record,
    sea_level,
    volume,
    world,
)

PART_107, FUN = Purpose.PART_107, Purpose.RECREATIONAL
OF_AIRSPACE = {
    "closed-airspace", "closed-at-times", "permission-on-record", "airspace-authorization",
    "no-facility-map-value",
    "class-e-extension", "class-e-recreational", "other-activity",
}  # fmt: skip


EVENT = (datetime(2026, 12, 1, 2, tzinfo=UTC), datetime(2026, 12, 1, 6, tzinfo=UTC))
DAY = timedelta(days=1)
FOUR_HUNDRED = (cell(400),)


def told(*airspace, cells=FOUR_HUNDRED, purpose=PART_107, charts=None, **changes):
    given = {"launch": None, "landing": None, "path": hover(30.0), **changes}
    answer = assess_live(plan(purpose, **given), world(airspace=airspace, cells=cells, **(charts or {})))
    return [each for each in answer.findings if each.rule in OF_AIRSPACE]


def only(*airspace, **changes):
    (found,) = told(*airspace, **changes)
    return found


@pytest.mark.parametrize(
    ("height_m", "cells", "message", "numbers"),
    [
        (
            ft(98),
            (cell(400),),
            "Class D: the plan goes up to 98 ft above ground there. "
            "The lowest facility map value touched is 400 ft.",
            {"asked_agl_m": ft(98), "cell_ceiling_agl_m": ft(400)},
        ),
        (
            ft(98),
            (cell(0),),
            "Class D: the plan goes up to 98 ft above ground there. "
            "The lowest facility map value touched is 0 ft.",
            {"asked_agl_m": ft(98), "cell_ceiling_agl_m": 0.0},
        ),
        (
            0.5,
            (),
            "Class D: the plan goes up to 2 ft above ground there. "
            "No facility map value is known for all of it.",
            {"asked_agl_m": 0.5},
        ),
    ],
)
def test_whom_to_ask_for_how_much(height_m, cells, message, numbers):
    found = only(volume(), cells=cells, path=hover(height_m))
    assert (found.rule, found.mark, found.message) == ("airspace-authorization", Mark.ACT, message)
    assert found.title == "Ask before flying in INVENTED CLASS-D"
    assert dict(found.numbers) == pytest.approx(numbers, abs=1e-3)


def test_what_home_on_lost_link_rises_by_is_told_apart():
    """142 ft in all, of which 12 m, 39.4 ft, are flown on lost link alone: 102.6 ft are planned."""
    case = assess_live(
        plan(PART_107, launch=None, landing=None, path=hover(30.0)),
        world(airspace=(volume(),), cells=FOUR_HUNDRED),
    ).case
    (use,) = case.uses
    need = attrs.evolve(use.need, asked_agl_m=ft(142), rise_m=12.0)
    raised = attrs.evolve(case, uses=(attrs.evolve(use, need=need),), needs=(need,))
    (found,) = (one for one in permission_findings(raised) if one.rule == "airspace-authorization")
    assert "the plan goes up to 103 ft above ground there, on lost link up to 142 ft." in found.message
    assert found.numbers["asked_agl_m"] == pytest.approx(ft(142) - 12.0)
    assert found.numbers["above_asked_m"] == 12.0


@pytest.mark.parametrize(
    ("rise", "what"),
    [
        (Rise.ON_LOST_LINK, "the way to or from it, or what the aircraft does by itself on lost link,"),
        (Rise.AS_FLOWN, f"the flight, {Rise.AS_FLOWN.value},"),
    ],
)
def test_what_of_it_that_is_not_drawn_comes_there(rise, what):
    case = assess_live(
        plan(PART_107, launch=None, landing=None, path=hover(30.0)),
        world(airspace=(volume(),), cells=FOUR_HUNDRED),
    ).case
    (use,) = case.uses
    need = attrs.evolve(use.need, asked_agl_m=ft(142), not_drawn=True, rise=rise)
    there = attrs.evolve(case, uses=(attrs.evolve(use, need=need),), needs=(need,))
    (found,) = (one for one in permission_findings(there) if one.rule == "airspace-authorization")
    assert f"nothing that is drawn lies in it, but {what} comes up to 142 ft above ground" in found.message


def test_who_only_launches_there_is_asked_for_what_is_flown_close_beside_it():
    """700 m of way to a path 30 m up: 5.1 m, 16.9 ft, where it is 20 m beside the 100 m about the launch."""
    core = volume(outline=disc(100.0, (0.0, 700.0)), top=above_ground(0.05))
    found = only(core, launch=GroundSpot(at(0, 700), LandStatus.OWN))
    assert found.message.startswith("Class D: the plan goes up to 17 ft above ground there. The lowest")


@pytest.mark.parametrize(("asked_m", "ground"), [(0.09, True), (0.11, False)])
def test_on_the_ground_alone_no_height_is_said(asked_m, ground):
    case = assess_live(
        plan(PART_107, launch=None, landing=None, path=hover(30.0)),
        world(airspace=(volume(),), cells=FOUR_HUNDRED),
    ).case
    (use,) = case.uses
    need = attrs.evolve(use.need, asked_agl_m=asked_m)
    there = attrs.evolve(case, uses=(attrs.evolve(use, need=need),), needs=(need,))
    (found,) = (one for one in permission_findings(there) if one.rule == "airspace-authorization")
    assert ("launch or landing lies in it. The lowest" in found.message) is ground
    assert ("the plan goes up to 1 ft" in found.message) is not ground


def test_its_way_to_the_path_leads_up_in_it():
    """600 m of way to a path 30 m up: 5 m where it leaves what lies within 100 m of the launch."""
    core = volume(outline=disc(100.0, (0.0, 700.0)))
    found = only(core, launch=GroundSpot(at(0, 700), LandStatus.OWN))
    assert found.message.startswith("Class D: the plan goes up to 15 ft above ground there.")


def test_a_shelf_is_told_with_its_floor():
    shelf = volume(AirspaceKind.CLASS_C, floor=sea_level(GROUND_M + ft(50)))
    assert ", above its floor at 1,050 ft above sea level." in only(shelf).message
    assert "above its floor" not in only(volume()).message


def test_a_height_that_is_not_known_is_no_number():
    ground = worlds.terrain(lambda east_m, _: np.where(abs(east_m) < 60, np.nan, GROUND_M))
    path = points([(-500, 0, 30.0), (500, 0, 30.0)])
    found = only(volume(), path=path, charts={"terrain": ground})
    assert found.message.startswith("Class D: the planned height there is not known.")
    assert dict(found.numbers) == {"cell_ceiling_agl_m": pytest.approx(ft(400))}


@pytest.mark.parametrize(
    ("purpose", "rule", "mark"),
    [
        (PART_107, "airspace-authorization", Mark.ACT),
        (FUN, "no-facility-map-value", Mark.UNKNOWN),
        (None, "no-facility-map-value", Mark.UNKNOWN),
    ],
)
def test_without_a_cell_only_part_107_knows_what_to_ask_for(purpose, rule, mark):
    found = only(volume(), cells=(), purpose=purpose)
    assert (found.rule, found.mark) == (rule, mark)
    assert only(volume(), purpose=purpose).rule == "airspace-authorization"


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED])
def test_what_a_record_lacks_is_told_with_a_capital_letter(kind):
    name = f"INVENTED {kind.value.upper()}"
    paper = PermissionKind.AGENCY if kind is AirspaceKind.RESTRICTED else PermissionKind.AUTHORIZATION
    short = only(volume(kind), permissions=(record(name, 20.0, paper),))
    assert short.message.endswith(" The plan is 33 ft above record INVENTED-1 at 0 m.")
    # Our own rule: an empty height opens nothing, whoever the record is of.
    empty = only(volume(kind), permissions=(record(name, None, paper),))
    assert empty.rule != "permission-on-record"
    assert empty.message.endswith(" Record INVENTED-1 names no height.")
    held = only(volume(kind), permissions=(record(name, 60.0, paper),))
    assert (held.rule, held.mark) == ("permission-on-record", Mark.NOTE)
    assert held.message.startswith("Record INVENTED-1 covers this flight.")


def test_closed_airspace_without_a_time_counts_as_active():
    assert "No time is set" in only(volume(AirspaceKind.RESTRICTED), window=None).message
    assert "No time is set" not in only(volume(AirspaceKind.RESTRICTED)).message


def test_what_is_closed_for_hours_only_can_not_be_judged_without_a_time():
    """Had the plan a time it would be a stop then, and nothing at any other: neither is known."""
    event = volume(AirspaceKind.RESTRICTED, active_from_utc=EVENT[0], active_to_utc=EVENT[1])
    timeless = only(event, window=None)
    assert (timeless.rule, timeless.mark) == ("closed-at-times", Mark.UNKNOWN)
    assert only(event, window=TimeWindow(*EVENT, "Etc/GMT+10")).mark is Mark.STOP
    assert not told(event, window=TimeWindow(EVENT[1] + DAY, EVENT[1] + 2 * DAY, "Etc/GMT+10"))


@pytest.mark.parametrize(
    ("schedule", "rule"),
    [
        ("MON-FRI, 0800-1700", "closed-at-times"),
        ("SR-SS", "closed-at-times"),
        ("CONTINUOUS", "closed-airspace"),
        ("0600-0600", "closed-airspace"),
        ("whenever the red flag is up", "closed-airspace"),
        ("MON-FRI, 0800-1700; OTHER TIMES BY NOTAM", "closed-airspace"),
    ],
)
def test_only_hours_that_plainly_end_leave_it_open(schedule, rule):
    assert only(volume(AirspaceKind.RESTRICTED, schedule=schedule), window=None).rule == rule


# ---- where only the authority can say


E3, E_OTHER, MOA = AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E_OTHER, AirspaceKind.MILITARY_OPERATIONS


@pytest.mark.parametrize(
    ("kind", "purpose", "rules"),
    [
        (E3, PART_107, [("class-e-extension", Mark.UNKNOWN)]),
        (E3, FUN, [("class-e-extension", Mark.UNKNOWN)]),
        (E_OTHER, FUN, [("class-e-recreational", Mark.UNKNOWN)]),
        (E_OTHER, PART_107, []),
        (E_OTHER, None, []),
        (MOA, PART_107, [("other-activity", Mark.ACT)]),
    ],
)
def test_which_airspace_is_asked_about_or_warned_of(kind, purpose, rules):
    assert [(each.rule, each.mark) for each in told(volume(kind), purpose=purpose)] == rules


@pytest.mark.parametrize(("floor_ft", "told_of"), [(90, True), (98, False), (120, False)])
def test_a_floor_of_class_e_still_belongs_to_what_is_below(floor_ft, told_of):
    """44809(a)(6): in Class G; the path flies at 98 ft, its highest point alone above 90 ft."""
    path = points([(-500, 0, ft(30)), (0, 0, ft(98)), (500, 0, ft(30))])
    found = told(volume(E_OTHER, floor=above_ground(ft(floor_ft))), purpose=FUN, path=path)
    assert bool(found) is told_of


INVENTED_E3 = "INVENTED CLASS-E3"


@pytest.mark.parametrize(
    ("answer", "settled"),
    [
        (record(INVENTED_E3, None), False),  # own rule: a figure that is missing opens nothing
        (record(INVENTED_E3, 60.0), True),
        (record(INVENTED_E3, 30.0), True),  # as high as the flight
        (record(INVENTED_E3, 29.9), False),
        (record(INVENTED_E3, None, PermissionKind.AGENCY), False),
        (record(INVENTED_E3, 60.0, PermissionKind.AGENCY), True),
        (record(INVENTED_E3, 60.0, PermissionKind.WAIVER), False),
        (record("ANOTHER", 60.0), False),
        (record(INVENTED_E3, 60.0, valid_to_utc=worlds.START), False),
        (record(INVENTED_E3, 60.0, ring=worlds.area(box(-50, -50, 50, 50), None).ring), True),
        (record(INVENTED_E3, 60.0, ring=worlds.area(box(20, -50, 50, 50), None).ring), False),
        (record(INVENTED_E3, AboveSeaLevel(GROUND_M + 31)), True),
    ],
)
def test_an_answer_counts_as_far_as_it_goes(answer, settled):
    found = only(volume(E3), permissions=(answer,))
    assert found.mark is (Mark.NOTE if settled else Mark.UNKNOWN)
    assert ("Answer on record" in found.message) is settled
    assert bool(found.remedy) is not settled


def test_one_airspace_in_two_pieces_is_told_once():
    halves = (volume(MOA, box(-900, -900, 0, 900)), volume(MOA, box(0, -900, 900, 900), key="east"))
    assert len(told(*halves, path=points([(-500, 0, 30.0), (500, 0, 30.0)]))) == 1


# ---- one airspace in several pieces


WEST = volume(E3, box(-900, -900, 0, 900), name=INVENTED_E3)
EAST = volume(E3, box(0, -900, 900, 900), name=INVENTED_E3, key="east", ident="EAST")
OVER_WEST = record(INVENTED_E3, 60.0, ring=worlds.area(box(-950, -950, 1, 950), None).ring)
OVER_EAST = record(
    INVENTED_E3, 60.0, ring=worlds.area(box(-1, -950, 950, 950), None).ring, reference="INVENTED-2"
)


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ((), None),
        ((OVER_WEST,), None),
        ((OVER_EAST,), None),
        ((record("EAST", 60.0),), None),
        ((OVER_WEST, OVER_EAST), "Answer on record: INVENTED-1, INVENTED-2."),
        (
            (OVER_WEST, record("EAST", 60.0, reference="INVENTED-3")),
            "Answer on record: INVENTED-1, INVENTED-3.",
        ),
        ((record(INVENTED_E3, 60.0),), "Answer on record: INVENTED-1."),
    ],
)
def test_an_answer_for_one_piece_leaves_the_other_open(answers, words):
    path = points([(-500, 0, 30.0), (500, 0, 30.0)])
    for pieces in ((WEST, EAST), (EAST, WEST)):
        found = only(*pieces, path=path, permissions=answers)
        assert found.mark is (Mark.UNKNOWN if words is None else Mark.NOTE)
        assert words is None or sorted(re.findall(r"[\w-]+", words)) == sorted(
            re.findall(r"[\w-]+", found.message)
        )
    # Where only one of them is flown through, its answer is enough.
    west = points([(-500, 0, 30.0), (-100, 0, 30.0)])
    found = only(WEST, EAST, path=west, permissions=answers)
    assert found.mark is (Mark.NOTE if answers and answers[0].airspace == INVENTED_E3
                          and answers != (OVER_EAST,) else Mark.UNKNOWN)  # fmt: skip


def test_several_records_that_cover_it_together_are_all_to_be_carried():
    (found,) = told(volume(), permissions=(record("INVENTED CLASS-D", 60.0),))
    charts = world(airspace=(volume(),), cells=FOUR_HUNDRED)
    case = assess_live(plan(PART_107, launch=None, landing=None, path=hover(30.0)), charts).case
    (need,) = (one for one in case.needs if one.subject is Subject.AIRSPACE)
    two = attrs.evolve(need, record=record("A", 1.0), beside=(record("A", 1.0, reference="INVENTED-2"),))
    (said,) = permission_findings(attrs.evolve(case, needs=(two,)))
    assert said.message.startswith("Records INVENTED-1, INVENTED-2 together cover this flight. Carry each")
    assert found.message.startswith("Record INVENTED-1 covers this flight. Carry it")
    # A decimetre above the ground is flown, less is where it stands.
    for asked_m, words in ((0.1, "the plan goes up to 1 ft"), (0.09, "launch or landing lies in it")):
        (low,) = permission_findings(attrs.evolve(case, needs=(attrs.evolve(need, asked_agl_m=asked_m),)))
        assert words in low.message
