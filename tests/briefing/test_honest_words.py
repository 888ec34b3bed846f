"""What the sheet says where something is missing, straight overhead, or kept: plain, whole sentences."""

import re

import attrs
import pytest

from planner.briefing.front_page import front_page
from planner.briefing.moments import moments_of
from planner.briefing.papers_page import papers_page
from planner.briefing.pilot_page import checked_by_hand
from planner.locate import demo_missions_dir
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan, Purpose
from tests.briefing import made
from tests.missions import judged_mission

MISSIONS = demo_missions_dir()


def test_without_a_crew_the_place_is_told_before_who_is_missing():
    stand = front_page(made.assessment(made=made.plan(crew=())))["stand"]
    assert stand == (
        "Nobody is named as observer. All here is told as seen from launch. Nobody is named as remote pilot."
    )


def test_of_an_area_alone_no_point_is_named():
    alone = made.plan(crew=(), path=(), launch=None, landing=None)
    assert "as seen from a corner of the area." in front_page(made.assessment(made=alone))["stand"]


def test_where_nothing_is_drawn_that_is_said():
    assert front_page(made.assessment(made=Plan()))["flight"] == "Nothing to fly is drawn yet."


def test_straight_overhead_is_not_called_so_many_metres_off():
    path = made.plan().path
    beneath = CrewMember("b", Role.SPECTATOR, "Robin (invented)", path[1].place)
    words = "; ".join(one.words for one in moments_of(made.assessment(made=made.plan(crew=(beneath,)))))
    assert "straight over Robin (invented)" in words
    assert " 0 m off" not in words


@pytest.mark.parametrize(
    ("purpose", "rule", "checks_by"),
    [
        # 14 CFR 107.31, 107.33, 49 USC 44809(a)(3): standing A. 107.49 is no rule of recreational flights.
        (Purpose.PART_107, ("14 CFR", "107.31, 107.33", "107.51(b)"), "14 CFR 107.49"),
        (Purpose.RECREATIONAL, ("49 USC", "44809(a)(3)"), "14 CFR 107.49 as a measure"),
    ],
)
def test_a_flight_with_nothing_against_it_names_its_rules_all_the_same(purpose, rule, checks_by):
    told = papers_page(made.assessment(made=made.plan(purpose=purpose), findings=()))
    named = "; ".join(citations for citations, _what in told["rules"])
    assert all(part in named for part in rule)
    assert told["preflight_by"] == checks_by


def test_a_long_name_of_the_worst_stretch_is_told_whole():
    title = "Above the ceiling of the invented harbour and its two long breakwaters"
    worst = attrs.evolve(made.FINDINGS[0], title=title)
    told = [one.words for one in moments_of(made.assessment(findings=(worst,)))]
    assert any(f"worst stretch: {title}" in words for words in told)


def feet(words: str) -> int:
    return int(re.sub(r"[^0-9]", "", words))


@pytest.mark.parametrize("name", ["ridge_line", "freestyle_box"])
def test_ceilings_add_up_by_hand_from_what_is_printed(name):
    """Ground, limit, launch and the readout's error: the figures on the paper must be enough."""
    told = checked_by_hand(judged_mission(MISSIONS / f"{name}.lowline.geojson"))
    assert len({position for _where, position in told["places"]}) == 3
    rows = {row["what"]: row["cells"] for row in told["rows"]}

    def cells(begin: str) -> list[list[str]]:
        return next(cells for what, cells in rows.items() if what.startswith(begin))

    for place in range(3):
        lowest = feet(cells("lowest ground")[place][1])
        limit, ceiling = feet(cells("the height limit")[place][0]), feet(cells("the ceiling")[place][1])
        # Each figure is rounded to a foot by itself.
        assert abs(lowest + limit - ceiling) <= 1
        launch, figure = (feet(cell) for cell in cells("on the readout")[place])
        error = feet(next(what for what in rows if what.startswith("on the readout")))
        assert abs(ceiling - launch - error - figure) <= 2


def test_conditions_of_a_record_end_in_one_stop():
    plan = judged_mission(MISSIONS / "fixed_site_with_agreement.lowline.geojson").plan
    record = attrs.evolve(plan.permissions[0], conditions="Radio call before arming.")
    told = papers_page(made.assessment(made=attrs.evolve(made.plan(), permissions=(record,))))
    assert told["records"][0]["limits"].endswith("Radio call before arming")
