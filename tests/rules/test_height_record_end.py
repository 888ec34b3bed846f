"""How near what is flown above the height limit stays to where its record ends; distances by hand.

The limit and who may go above it: 14 CFR 107.51(b) with 107.200, 49 USC 44809(c)(2) (check_values 1.1, 1.6).
20 m: own choice, as beside a structure's radius.
"""

import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.height_record_end import close_to_the_end_of_a_height_record
from tests.worlds import (
    GROUND_M,
    area,
    box,
    fixed_site,
    ft,
    plan,
    points,
    record,
    slope,
    terrain,
    volume,
    world,
)

HIGH = points([(-500, 0, ft(550)), (500, 0, ft(550))])
LOW = points([(-500, 0, ft(390)), (500, 0, ft(390))])
SITE = "INVENTED MEADOW"


def ring(north_m):
    return area(box(-900, -900, 900, north_m), None).ring


def waived(path=HIGH, **changes):
    held = record("14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER, **changes)
    return assess_live(plan(Purpose.PART_107, path=path, permissions=(held,)), world())


def at_a_site(north_m, path=HIGH):
    held = record(SITE, ft(600), PermissionKind.AUTHORIZATION)
    site = fixed_site(outline=box(-900, -900, 900, north_m))
    flight = plan(Purpose.RECREATIONAL, path=path, permissions=(held,))
    return assess_live(flight, world(fixed_sites=(site,)))


def close(answer):
    return [one for one in answer.findings if one.rule == "close-to-record-end"]


def stops(answer):
    return [one for one in answer.findings if one.mark is Mark.STOP]


@pytest.mark.parametrize("judged", [lambda m, **path: waived(ring=ring(m), **path), at_a_site])
@pytest.mark.parametrize(("inside_m", "number"), [(0.3, 1), (9.0, 1), (19.5, 1), (20.5, 0)])
def test_a_path_above_the_limit_so_far_inside_its_record(judged, inside_m, number):
    answer = judged(inside_m)
    assert not stops(answer)
    found = close(answer)
    assert [one.mark for one in found] == [Mark.ACT] * number
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(inside_m, abs=0.05)
        assert "INVENTED-1 allows it above the height limit" in one.message
    assert not close(judged(inside_m, path=LOW))


def test_a_record_without_an_outline_has_no_end_and_one_that_is_left_is_told_as_such():
    assert not close(waived())
    left = waived(ring=ring(-0.5))
    assert stops(left)
    assert not close(left)


def test_two_records_that_go_on_from_one_another_end_where_both_do():
    def held(number, west_m, east_m):
        outline = area(box(west_m, -900, east_m, 900), None).ring
        kind = PermissionKind.WAIVER
        return record("14 CFR 107.51(b)", ft(600), kind, ring=outline, reference=f"INVENTED-{number}")

    both = (held(1, -900, 10), held(2, -10, 900))
    assert not close(assess_live(plan(Purpose.PART_107, path=HIGH, permissions=both), world()))


def test_of_path_and_area_the_nearer_to_the_end_is_told():
    held = record("14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER, ring=ring(15.0))
    drawn = area(box(-50, -50, 50, 10), AboveGround(ft(550)))
    answer = assess_live(plan(Purpose.PART_107, path=HIGH, area=drawn, permissions=(held,)), world())
    (one,) = close(answer)
    assert one.message.startswith("The flying area is 16 ft inside")


@pytest.mark.parametrize(("top_ft", "number"), [(550, 1), (390, 0)])
def test_an_area_above_the_limit(top_ft, number):
    held = record("14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER, ring=ring(55.0))
    drawn = area(box(-50, -50, 50, 50), AboveGround(ft(top_ft)))
    answer = assess_live(plan(Purpose.PART_107, path=(), area=drawn, permissions=(held,)), world())
    assert len(close(answer)) == number
    for one in close(answer):
        assert one.message.startswith("The flying area is 16 ft inside")  # 5 m are 16.4 ft, rounded down
        # Told where the area is nearest.
        assert answer.case.mapped.frame.place_to_xy(one.place)[1] == pytest.approx(50.0, abs=0.1)


@pytest.mark.parametrize("lower", [{}, {"ring": ring(900)}])
@pytest.mark.parametrize(("flown_ft", "number"), [(550, 1), (450, 0)])
def test_where_another_record_goes_on_lower_down_the_end_is_that_of_the_height_flown(lower, flown_ft, number):
    """600 ft within the ring, 500 ft beyond it: at 550 ft 9 m inside, a little farther out it is too high.

    West of it, where the lower record alone speaks, it is flown at 450 ft.
    """
    high = record(
        "14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER, ring=area(box(0, -900, 900, 9), None).ring
    )
    low = record("14 CFR 107.51(b)", ft(500), PermissionKind.WAIVER, reference="INVENTED-2", **lower)
    path = points([(-500, 0, ft(450)), (-100, 0, ft(450)), (200, 0, ft(flown_ft)), (500, 0, ft(550)),
                   (500, -500, ft(550))])  # fmt: skip
    if number == 0:
        path = (*path[:3], *points([(200, -300, ft(450)), (500, -300, ft(550))]))
    answer = assess_live(plan(Purpose.PART_107, path=path, permissions=(high, low)), world())
    assert not stops(answer)
    assert [one.numbers["aside_m"] for one in close(answer)] == pytest.approx([9.0] * number, abs=0.1)


def test_an_area_of_which_a_part_alone_is_above_the_limit():
    """Its top is 410 ft above the middle: over ground that falls a fifth it is from 377 to 443 ft up."""
    held = record("14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER, ring=ring(55.0))
    drawn = area(box(-50, -50, 50, 50), AboveSeaLevel(GROUND_M + ft(410)))
    sloping = world(terrain=terrain(slope(-0.2)))
    answer = assess_live(plan(Purpose.PART_107, path=(), area=drawn, permissions=(held,)), sloping)
    assert len(close(answer)) == 1


def test_the_end_of_a_record_of_other_airspace_is_told_elsewhere():
    """An authorization that ends 9 m beside the path, and a waiver that ends nowhere."""
    held = (
        record("14 CFR 107.51(b)", ft(600), PermissionKind.WAIVER),
        record("D", ft(600), PermissionKind.AUTHORIZATION, ring=ring(9.0), reference="INVENTED-2"),
    )
    answer = assess_live(
        plan(Purpose.PART_107, path=HIGH, permissions=held), world(airspace=(volume(name="D"),))
    )
    assert len(answer.case.needs) == 2
    assert not list(close_to_the_end_of_a_height_record(answer.case))
