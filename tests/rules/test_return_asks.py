"""A return on lost link through Class E that only the authority can open: as open a question as on the path.

Which Class E that is: 49 USC 44809(a)(5)-(6) and check_values 1.13, standing A. That what is open is never
ready is our own rule (design); heights are worked by hand over level ground.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.loss_axis import worst_loss
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, ft, plan, points, record, volume, world

LOW_E = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(60.0), name="LOW E")
BESIDE = volume(AirspaceKind.CLASS_E4, box(100, 50, 300, 150), name="BESIDE E4")
CORNER = points([(0, 0, 30.0), (400, 0, 30.0), (400, 200, 30.0)])
AROUND = {
    "path": CORNER,
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(400, 200), LandStatus.OWN),
}


def answer(volume_, height_m, purpose=Purpose.RECREATIONAL, **changes):
    flight = plan(purpose, **changes)
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(height_m))
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    return assess(flight, world(airspace=(volume_,)))


def told(found):
    return [one for one in found.findings if one.rule in ("link-loss-asks", "link-loss-not-known")]


def test_a_return_over_the_floor_of_class_e_is_an_open_question_with_its_figure():
    """90 m less the floor's 60 m are 98.4 ft, told rounded up."""
    found = answer(LOW_E, 90.0)
    (one,) = told(found)
    assert (one.rule, one.mark) == ("link-loss-asks", Mark.UNKNOWN)
    assert found.verdict is Verdict.UNDETERMINED
    assert one.title == "On lost link it returns through LOW E"
    assert "comes into LOW E, 99 ft above what is open there" in one.message
    assert "99 ft lower" in one.remedy
    assert one.numbers["above_open_m"] == pytest.approx(30.0, abs=0.01)
    assert (one.from_m, one.to_m) == (0.0, pytest.approx(1_000.0, abs=0.1))
    assert one.citation.startswith("49 USC 44809(a)(6)")
    worst = worst_loss(found.case)
    assert worst.trouble
    assert "LOW E, which only the authority can open" in worst.words


@pytest.mark.parametrize("case", ["lower", "part 107", "answered"])
def test_what_is_open_there_is_no_question(case):
    purpose = Purpose.PART_107 if case == "part 107" else Purpose.RECREATIONAL
    held = (record("LOW E", 90.0),) if case == "answered" else ()
    found = answer(LOW_E, 59.0 if case == "lower" else 90.0, purpose, permissions=held)
    assert not told(found)


def test_an_answer_holds_on_the_return_as_high_as_it_says():
    (one,) = told(answer(LOW_E, 90.0, permissions=(record("LOW E", 80.0),)))
    assert "33 ft above what is open there" in one.message  # 10 m


def test_a_return_straight_through_what_the_path_goes_around_is_asked_about():
    found = answer(BESIDE, 40.0, Purpose.PART_107, **AROUND)
    (one,) = told(found)
    assert one.mark is Mark.UNKNOWN
    assert "BESIDE E4, which begins at the ground" in one.message
    assert "lower" not in one.remedy
    assert "extensions" in one.citation
    # From (400, y) the line home is 0.75 y north of it at its eastern side: in it from y = 66.7 m on. In the
    # second before it turns home the aircraft flies 10 m on.
    assert 456.6 <= one.from_m <= 456.7 + 12.0
    assert one.to_m == pytest.approx(600.0, abs=0.1)
    assert f"Lost at {one.from_m:.0f} m" in one.message
    assert not told(
        answer(BESIDE, 40.0, Purpose.PART_107, permissions=(record("BESIDE E4", 40.0),), **AROUND)
    )


def test_what_the_path_itself_enters_is_asked_about_there():
    high = points([(-500, 0, 70.0), (500, 0, 70.0)])
    found = answer(LOW_E, 90.0, path=high)
    assert not told(found)
    assert [one.mark for one in found.findings if one.rule == "class-e-recreational"] == [Mark.UNKNOWN]


def test_the_returns_of_an_area_are_asked_about_too():
    place = area(box(-100, -100, 100, 100), AboveGround(ft(150)))
    (one,) = told(answer(LOW_E, 90.0, path=(), area=place))
    assert (one.rule, one.mark, one.from_m) == ("link-loss-asks", Mark.UNKNOWN, None)
    assert "99 ft above what is open there" in one.message
    assert not told(answer(LOW_E, 59.0, path=(), area=place))


def test_of_an_area_the_return_that_comes_highest_is_told():
    """60 m more than where the link is lost: from its top, 50 m up, that is 50 m above the floor."""
    flight = plan(Purpose.RECREATIONAL, path=(), area=area(box(-100, -100, 100, 100), AboveGround(50.0)))
    loss = LinkLoss(LinkLossAction.RETURN_OFFSET, 1.0, AboveLaunch(60.0))
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    (one,) = told(assess(flight, world(airspace=(LOW_E,))))
    assert one.message.startswith("Lost at the area's top the aircraft")
    assert one.numbers["above_open_m"] == pytest.approx(50.0, abs=0.1)


# ---- straight up where the link is lost, and down at home

BAND = {"floor": above_ground(50.0), "top": above_ground(70.0)}
OVER_HOME, OVER_THE_END = box(-30, -30, 30, 30), box(370, 170, 430, 230)


def verdicts(kind, height_m, outline=None, **changes):
    given = BAND if outline is None else {"outline": outline, **BAND}
    found = answer(volume(kind, name="BAND", **given), height_m, Purpose.PART_107, **AROUND, **changes)
    return found, {one.rule: one.mark for one in found.findings if one.rule.startswith("link-loss-a")}


# 14 CFR 107.45 and part 73 (check_values 1.17, standing A): closed at every height from its floor to its top;
# a return climbs where it is and comes down at home (common practice), so it passes them all.
@pytest.mark.parametrize("outline", [None, OVER_HOME, OVER_THE_END])
@pytest.mark.parametrize(
    ("kind", "mark"),
    [
        (AirspaceKind.RESTRICTED, Mark.STOP),
        (AirspaceKind.TEMPORARY, Mark.STOP),
        (AirspaceKind.CLASS_E4, Mark.UNKNOWN),
    ],
)
def test_a_band_between_path_and_return_is_passed_through(kind, mark, outline):
    rule = "link-loss-asks" if mark is Mark.UNKNOWN else "link-loss-above-ceiling"
    assert verdicts(kind, 90.0, outline)[1].get(rule) is mark
    assert rule not in verdicts(kind, 45.0, outline)[1]


@pytest.mark.parametrize("outline", [None, OVER_HOME, OVER_THE_END])
def test_a_band_that_wants_an_authorization_is_asked_for_as_high_as_it_goes(outline):
    """14 CFR 107.41: 70 m, its top, is the most of it that the return passes."""
    found, _ = verdicts(AirspaceKind.CLASS_D, 90.0, outline)
    (need,) = found.permissions
    assert (need.not_drawn, need.recorded, need.asked_agl_m) == (True, False, pytest.approx(70.0))
    assert not verdicts(AirspaceKind.CLASS_D, 45.0, outline)[0].permissions


def test_what_is_passed_through_is_told_by_how_much_lower_the_return_must_be():
    """90 m less the 50 m of its floor are 131.2 ft, rounded up."""
    (one,) = told(verdicts(AirspaceKind.CLASS_E4, 90.0)[0])
    assert "a return height that is 132 ft lower" in one.remedy


@pytest.mark.parametrize(("allowed_m", "closed"), [(60.0, True), (70.5, False)])
def test_a_record_opens_the_climb_as_far_as_it_goes(allowed_m, closed):
    held = record("BAND", allowed_m, PermissionKind.AGENCY)
    found = verdicts(AirspaceKind.RESTRICTED, 90.0, permissions=(held,))[1]
    assert ("link-loss-above-ceiling" in found) is closed


def test_a_return_from_a_flying_area_climbs_through_it_too():
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    shut = volume(AirspaceKind.RESTRICTED, name="BAND", **BAND)
    for height_m, closed in ((90.0, True), (45.0, False)):
        found = answer(shut, height_m, Purpose.PART_107, path=(), area=drawn)
        assert ("link-loss-above-ceiling" in {one.rule for one in found.findings}) is closed
