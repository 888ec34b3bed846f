"""What only the authority can say of Class E: the figures that led there, what an answer leaves open.

Heights are worked by hand over level ground of 1,000 ft; that a record which no longer covers the plan says
where and by how much, and that a finding says what to do, is our own rule (design, issue 4). That a figure
which is missing opens nothing is, too: missing data never becomes ready.
"""

from datetime import timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.inquiries import asked_agl_m
from planner.rules.inquiry_uses import inquiry_uses
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    WINDOW,
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

HIGH_E = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(ft(200)), name="HIGH E")
FIELD_E4 = volume(AirspaceKind.CLASS_E4, name="FIELD E4")
LEVEL = points([(-500, 0, ft(250)), (500, 0, ft(250))])


def judged(*airspace, purpose=Purpose.RECREATIONAL, **changes):
    given = {"path": LEVEL, "launch": None, "landing": None, **changes}
    return assess_live(plan(purpose, **given), world(airspace=airspace))


def told(*airspace, **changes):
    (found,) = (one for one in judged(*airspace, **changes).findings if one.rule.startswith("class-e"))
    return found


@pytest.mark.parametrize(
    ("floor", "words"),
    [
        (above_ground(ft(200)), "50 ft above its floor, 200 ft above ground."),
        (
            sea_level(ft(1_210)),
            "40 ft above its floor, 1,210 ft above sea level, 210 ft above the ground there.",
        ),
    ],
)
def test_the_floor_to_stay_under_is_told_in_figures(floor, words):
    found = told(volume(AirspaceKind.CLASS_E_OTHER, floor=floor, name="HIGH E"))
    assert found.mark is Mark.UNKNOWN
    assert found.message.startswith(
        "From 0 m to 1,000 m the plan goes up to 250 ft above ground there, and at 0 m "
    )
    assert words in found.message
    assert (found.from_m, found.to_m) == pytest.approx((0.0, 1_000.0), abs=1.0)
    assert found.numbers["asked_agl_m"] == pytest.approx(ft(250), abs=0.01)
    assert found.numbers["over_floor_m"] == pytest.approx(ft(50 if "50 ft" in words else 40), abs=0.01)
    assert f"or stay under the floor: {words[:5]} lower at 0 m" in found.remedy


def test_only_the_stretch_above_the_floor_is_told():
    """150 to 250 ft over 1 km: 200 ft are reached half-way."""
    found = told(HIGH_E, path=points([(-500, 0, ft(150)), (500, 0, ft(250))]))
    assert (found.from_m, found.to_m) == pytest.approx((500.0, 1_000.0), abs=1.0)
    assert "at 1.00 km 50 ft above its floor" in found.message


def test_of_an_area_the_top_is_held_against_the_floor():
    place = area(box(-100, -100, 100, 100), AboveGround(ft(250)))
    found = told(HIGH_E, path=(), area=place)
    assert found.message.startswith(
        "The plan goes up to 250 ft above ground there, and in the flying area 50 ft"
    )
    assert (found.from_m, found.to_m) == (None, None)
    # And not as so close under it that it need only be lowered by what is uncertain.
    rules = {one.rule for one in judged(HIGH_E, path=(), area=place).findings}
    assert "area-close-under-limit" not in rules


def test_what_begins_at_the_ground_has_no_floor_to_stay_under():
    found = told(FIELD_E4, purpose=Purpose.PART_107)
    assert "goes up to 250 ft above ground there; it begins at the ground." in found.message
    assert "stay under" not in found.remedy


RING = area(box(-600, -100, 0, 100), None).ring
LATE = {"valid_from_utc": None, "valid_to_utc": WINDOW.end_utc - timedelta(minutes=10)}


@pytest.mark.parametrize("volume_", [HIGH_E, FIELD_E4])
@pytest.mark.parametrize(
    ("height_m", "changes", "words"),
    [
        (ft(240), {}, "The plan is 10 ft above record A1 at 0 m"),
        (None, {}, "Record A1 names no height"),
        (None, {"kind": PermissionKind.AGENCY}, "Record A1 names no height"),
        (ft(300), {"ring": RING}, "Record A1 does not cover the whole place: the plan leaves it at 500 m"),
        (ft(300), LATE, "Record A1 ends 10 min"),
        (ft(300), {"kind": PermissionKind.WAIVER}, "Record A1 is not of the kind this airspace needs"),
    ],
)
def test_an_answer_that_falls_short_says_where_and_by_how_much(volume_, height_m, changes, words):
    held = record(volume_.name, height_m, reference="A1", **changes)
    answer = judged(volume_, permissions=(held,))
    (found,) = (one for one in answer.findings if one.rule.startswith("class-e"))
    assert found.mark is Mark.UNKNOWN
    assert words in found.message
    # The desk's cards say it of the need, and of the record.
    (use,) = inquiry_uses(answer.case)
    assert words[1:] in use.need.shortfall
    assert use.need.falls_short == held


def test_an_answer_that_covers_leaves_nothing_open():
    found = told(HIGH_E, permissions=(record("HIGH E", ft(250), reference="A1"),))
    assert (found.mark, found.message, found.remedy) == (Mark.NOTE, "Answer on record: A1.", "")


@pytest.mark.parametrize("volume_", [HIGH_E, FIELD_E4])
@pytest.mark.parametrize(("west_end_m", "open_question"), [(10, False), (-10, True)])
def test_several_answers_count_together_as_those_on_class_d_do(volume_, west_end_m, open_question):
    halves = [
        record(volume_.name, ft(300), ring=area(box(*outline), None).ring, reference=reference)
        for reference, outline in (
            ("A1", (-600, -100, west_end_m, 100)),
            ("A2", (0, -100, 600, 100)),
        )
    ]
    found = told(volume_, permissions=tuple(halves))
    assert found.mark is (Mark.UNKNOWN if open_question else Mark.NOTE)
    if not open_question:
        assert {"A1", "A2"} == set(found.message.removeprefix("Answer on record: ").rstrip(".").split(", "))


def test_what_only_touches_the_floor_needs_no_answer():
    """Class G ends at that floor; the floor belongs to it (as the ceiling has it)."""
    assert not [one for one in judged(HIGH_E, path=points([(0, 0, ft(200)), (99, 0, ft(200))])).findings
                if one.rule.startswith("class-e")]  # fmt: skip
    assert ft(1_000) == GROUND_M


# ---- several pieces and parts of a flight, and an inquiry in the shape of a permission

WEST, EAST = box(-600, -100, 0, 100), box(0, -100, 600, 100)
SPOT = GroundSpot(at(550, 50), LandStatus.OWN)


def uses(*airspace, **changes):
    return inquiry_uses(judged(*airspace, **changes).case)


def test_what_is_asked_for_has_its_stretch_its_records_and_no_cells():
    halves = [
        record("FIELD E4", ft(300), ring=area(outline, None).ring, reference=reference)
        for reference, outline in (("A1", box(-600, -100, 10, 100)), ("A2", EAST), ("A3", box(0, 0, 1, 1)))
    ]
    half = volume(AirspaceKind.CLASS_E4, box(-300, -100, 600, 100), name="FIELD E4")
    (use,) = uses(half, permissions=tuple(halves))
    assert (use.need.from_m, use.need.to_m) == pytest.approx((200.0, 1_000.0), abs=1.0)
    used = [one.reference for one in (use.need.record, *use.need.beside)]
    assert sorted(used[:2]) == ["A1", "A2"]
    assert len(used) == len(set(used))
    assert not use.cells.complete
    (use,) = uses(FIELD_E4, path=(), area=area(box(-100, -100, 100, 100), AboveGround(60.0)))
    assert (use.need.from_m, use.need.to_m, use.need.record, use.need.beside) == (None, None, None, ())
    assert inquiry_uses(None) == ()


def test_only_what_may_be_active_and_asks_is_asked_about():
    """The window lies on a Saturday from 1900Z to 2000Z."""
    assert not uses(volume(AirspaceKind.CLASS_E4, name="FIELD E4", schedule="SUN 0800-0900Z"))
    assert uses(volume(AirspaceKind.CLASS_E4, name="FIELD E4", schedule="SAT 1800-2100Z"))
    assert not uses(volume(name="FIELD D"))


def test_the_highest_part_of_a_flight_is_asked_for_and_an_unknown_one_is_not_known():
    spots = {"launch": SPOT, "landing": SPOT}
    (use,) = uses(FIELD_E4, **spots)
    assert use.need.asked_agl_m == pytest.approx(ft(250), abs=0.01)
    gone = terrain(lambda east_m, _: np.where(abs(east_m) < 100, np.nan, GROUND_M))
    case = assess_live(plan(path=LEVEL, **spots), world(airspace=(FIELD_E4,), terrain=gone)).case
    (use,) = inquiry_uses(case)
    assert use.need.asked_agl_m is None


def test_a_piece_that_only_the_launch_point_lies_in_is_entered_as_well():
    pieces = [volume(AirspaceKind.CLASS_E4, outline, name="FIELD E4", key=key)
              for key, outline in (("w", WEST), ("e", box(540, 40, 600, 100)))]  # fmt: skip
    (use,) = uses(*pieces, launch=SPOT, landing=SPOT)
    assert len(use.volumes) == 2


def test_what_only_a_way_that_is_not_drawn_leads_through_is_asked_for_as_such():
    """From 500 m west of the path it is flown there; what does not ask lies on the way, too."""
    away = GroundSpot(at(-1_000, 0), LandStatus.OWN)
    between = volume(AirspaceKind.CLASS_E4, box(-900, -50, -600, 50), name="FIELD E4")
    warning = volume(AirspaceKind.WARNING, box(-900, -50, -600, 50))
    (use,) = uses(between, warning, launch=away)
    assert (use.need.airspace, use.need.not_drawn) == ("FIELD E4", True)
    (use,) = uses(FIELD_E4, launch=away)
    assert not use.need.not_drawn


def test_a_stretch_ends_where_the_floor_is_reached_again():
    """250 to 150 ft over 1 km: 200 ft are reached half-way."""
    found = told(HIGH_E, path=points([(-500, 0, ft(250)), (500, 0, ft(150))]))
    assert (found.from_m, found.to_m) == pytest.approx((0.0, 500.0), abs=1.0)
    found = told(HIGH_E, path=points([(-500, 0, ft(150)), (0, 0, ft(250)), (500, 0, ft(150))]))
    assert (found.from_m, found.to_m) == pytest.approx((250.0, 750.0), abs=1.5)


def test_of_two_pieces_the_one_is_told_whose_floor_lies_lower():
    lower = volume(AirspaceKind.CLASS_E_OTHER, EAST, floor=above_ground(ft(100)), name="HIGH E", key="lower")
    upper = volume(AirspaceKind.CLASS_E_OTHER, WEST, floor=above_ground(ft(200)), name="HIGH E", key="upper")
    for row in ((lower, upper), (upper, lower)):
        assert "150 ft above its floor, 100 ft above ground." in told(*row).message
    # Where one begins at the ground there is no floor to stay under.
    surface = volume(AirspaceKind.CLASS_E4, WEST, name="FIELD E4", key="surface")
    shelf = volume(AirspaceKind.CLASS_E4, EAST, floor=above_ground(ft(100)), name="FIELD E4", key="shelf")
    assert "it begins at the ground" in told(surface, shelf).message
    assert "stay under" not in told(surface, shelf).remedy


@pytest.mark.parametrize(
    ("heights", "asked_m"),
    [((30.0,), 30.0), ((30.0, 50.0, 40.0), 50.0), ((30.0, np.nan), None), ((np.nan,), None)],
)
def test_the_greatest_height_asked_about_is_known_where_all_are(heights, asked_m):
    parts = [SimpleNamespace(asked_agl_m=lambda high=high: high) for high in heights]
    assert asked_agl_m(SimpleNamespace(parts=parts)) == asked_m
