"""Areas to stand in: what can be one, the edits, the file."""

import json
import re

import pytest

from planner.errors import PlanError, PlanFileError
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.history import History
from planner.plan.model import Plan
from planner.plan.standing import StandArea
from tests.plan.sample_plan import FULL_PLAN

RING = (Place(-150.2, 37.8), Place(-150.2, 37.81), Place(-150.19, 37.81))
BOWTIE = (Place(0.0, 0.0), Place(1.0, 1.0), Place(1.0, 0.0), Place(0.0, 1.0))


@pytest.mark.parametrize(("ring", "said"), [(RING[:2], "fewer than three"), (BOWTIE, "cross")])
def test_what_is_no_area(ring, said):
    with pytest.raises(PlanError, match=said):
        StandArea(ring)


def test_edits_and_their_undo():
    first, second = StandArea(RING, "car park"), StandArea(RING[::-1])
    history = History(Plan())
    for edit in (edits.AllowStanding(first), edits.AllowStanding(second), edits.ForbidStanding(0)):
        history.push(edit)
    assert history.plan.stand_areas == (second,)
    history.undo()
    assert history.plan.stand_areas == (first, second)
    moved = edits.ReshapeStanding(0, [*RING[:2], Place(-150.18, 37.8)]).apply(history.plan)
    assert moved.stand_areas[0].name == "car park"
    assert moved.stand_areas[0].ring[2] == Place(-150.18, 37.8)
    with pytest.raises(PlanError, match="in the plan already"):
        edits.AllowStanding(first).apply(history.plan)
    for edit in (edits.ForbidStanding(2), edits.ReshapeStanding(-1, RING)):
        with pytest.raises(PlanError, match="there is no area to stand in"):
            edit.apply(history.plan)


@pytest.mark.parametrize("ring", [RING, RING[::-1]])
def test_it_reads_back_as_it_was_drawn_and_without_any_the_file_is_as_before(ring):
    plan = Plan(stand_areas=(StandArea(ring, "car park"),))
    assert plan_from_json(plan_to_json(plan), where="text") == plan
    assert "stand_areas" not in json.loads(plan_to_json(Plan()))["lowline"]


def _feature(document):
    (found,) = [one for one in document["features"] if one["properties"]["lowline"] == "stand_area"]
    return found


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d["lowline"]["stand_areas"].pop(), "stand_area feature 1 but no entry"),
        (lambda d: d["features"].remove(_feature(d)), r"stand_areas\[0\] but no stand_area feature 1"),
        (lambda d: d["lowline"].update(stand_areas=5), "stand_areas: is 5, not a list"),
        (lambda d: d["lowline"]["stand_areas"][0].update(name=3), "name: is 3, not a text"),
        (lambda d: d["lowline"]["stand_areas"][0].update(ring=[]), "'ring' is not known"),
        (lambda d: d["lowline"]["stand_areas"][0].update(height=1), "'height' is not known"),
        (lambda d: d["lowline"]["stand_areas"][0].pop("drawn_clockwise"), "drawn_clockwise: is missing"),
        (lambda d: _feature(d)["geometry"].update(type="Point"), "is a Polygon"),
        (lambda d: _feature(d)["properties"].update(number="1"), "properties.number is '1'"),
        (lambda d: _feature(d)["geometry"]["coordinates"].append([]), "2 rings"),
    ],
)
def test_a_broken_file_says_what_is_wrong(change, said):
    document = json.loads(plan_to_json(FULL_PLAN))
    change(document)
    with pytest.raises(PlanFileError) as caught:
        plan_from_json(json.dumps(document), where="plan")
    assert re.search(said, caught.value.one_line())
