"""The documented JSON keeps its contract."""

import json
from enum import StrEnum

import attrs
import jsonschema
import numpy as np
import pytest

from planner.briefing.check_json import SCHEMA_VERSION, check_json
from planner.ceiling.profile import Binding
from planner.permission.need import Route, Subject
from planner.plan.model import Plan
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from planner.world.world import World
from tests.briefing import made


@pytest.fixture(scope="module")
def schema(repo):
    return json.loads((repo / "resources" / "check.schema.json").read_text("utf-8"))


def strict(text):
    def refuse(token):
        raise AssertionError(f"{token} is no JSON")

    return json.loads(text, parse_constant=refuse)


def walk(values, schema, at="answer"):
    """Every key that is written is a documented one, and the other way round."""
    if isinstance(values, dict):
        assert set(values) == set(schema["properties"]), at
        for key, value in values.items():
            walk(value, schema["properties"][key], f"{at}.{key}")
    elif isinstance(values, list):
        for value in values:
            walk(value, schema["items"], f"{at}[]")


@pytest.mark.parametrize("verdict", list(Verdict))
def test_answer_keeps_the_schema(verdict, schema):
    answer = strict(json.dumps(check_json(made.assessment(verdict)), allow_nan=False))
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(answer)
    walk(answer, schema)
    assert answer["verdict"] == verdict.value
    assert answer["schema"] == schema["properties"]["schema"]["const"] == SCHEMA_VERSION


def test_answer_to_an_empty_plan_keeps_the_schema(schema):
    bare = made.assessment(
        Verdict.UNDETERMINED,
        Plan(),
        world=World(),
        findings=(),
        permissions=(),
        data=(),
        recheck=(),
        not_known=(),
    )
    answer = strict(json.dumps(check_json(bare), allow_nan=False))
    jsonschema.Draft202012Validator(schema).validate(answer)
    walk(answer, schema)
    assert answer["profile"]["distance_m"] == []
    assert answer["area"] is None
    assert answer["invented"] is False


def test_unknown_heights_are_null_and_all_arrays_have_one_length(schema):
    answer = made.assessment()
    holes = answer.track.ground_amsl_m.copy()
    holes[3:9] = np.nan
    ceiling = answer.profile.ceiling_amsl_m.copy()
    ceiling[3:9] = np.inf
    answer = attrs.evolve(
        answer,
        track=attrs.evolve(answer.track, ground_amsl_m=holes),
        profile=attrs.evolve(answer.profile, ceiling_amsl_m=ceiling),
    )
    written = strict(json.dumps(check_json(answer), allow_nan=False))
    assert written["profile"]["ground_amsl_m"][2:10].count(None) == 6
    assert written["profile"]["ceiling_amsl_m"][3] is None
    lengths = {len(values) for part in ("profile", "sight", "flight") for values in written[part].values()}
    assert lengths == {len(answer.track)}
    assert set(written["sight"]["seen"]) == {None}


def test_feet_and_moments_are_written_as_people_read_them():
    written = check_json(made.assessment(Verdict.READY, permissions=(made.NEED,)))
    (need,) = written["permissions"]
    assert need["cell_ceiling_agl_ft"] == 200.0
    assert need["class"] == "D"
    assert need["recorded"] is False
    assert written["valid_until"] == "2026-11-26T02:05:00Z"
    assert written["recheck"][0]["at"] == "2026-11-26T01:10:00Z"


@pytest.mark.parametrize(
    ("state", "covers"),
    [
        (LayerState.OK, True),
        (LayerState.EXPIRED, True),
        (LayerState.NOT_COVERING, False),
        (LayerState.OTHER_JURISDICTION, False),
        (LayerState.DAMAGED, False),
        (LayerState.MISSING, False),
    ],
)
def test_coverage_is_told_apart_from_dates(state, covers):
    (status, *_) = made.data()
    (written,) = check_json(made.assessment(data=(attrs.evolve(status, state=state),)))["data"]
    assert (written["state"], written["covers"]) == (state.value, covers)


@pytest.mark.parametrize(
    ("members", "path"),
    [
        (Verdict, "verdict"),
        (Mark, "findings/items/properties/mark"),
        (Basis, "findings/items/properties/basis"),
        (Route, "permissions/items/properties/route"),
        (Subject, "permissions/items/properties/subject"),
        (Binding, "profile/properties/binding/items"),
        (LayerName, "data/items/properties/layer"),
        (LayerState, "data/items/properties/state"),
    ],
)
def test_closed_lists_of_the_schema_are_those_of_the_program(members: type[StrEnum], path, schema):
    node = schema["properties"]
    for step in path.split("/"):
        node = node[step]
    assert node["enum"] == [member.value for member in members]
