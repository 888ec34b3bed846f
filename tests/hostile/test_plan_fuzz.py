"""Plan files changed at random: a plan or one clear line, nothing else."""

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import LowlineError
from planner.plan.file import plan_from_json, plan_to_json, read_plan
from planner.plan.model import Plan
from tests.hostile.plan_complaints import TEXT


def outcome_is_a_plan_or_one_line(read: Callable[[], Plan]) -> None:
    try:
        plan = read()
    except LowlineError as error:
        line = error.one_line()
        assert line
        assert len(line.splitlines()) == 1
    else:
        assert plan_from_json(plan_to_json(plan), where="again") == plan


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_bytes_changed_at_random(tmp_path: Path, data: st.DataObject):
    content = bytearray(TEXT.encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        length = data.draw(st.sampled_from([0, 1, 1, 5, 200]))
        content[at : at + length] = data.draw(st.binary(max_size=4))
    path = tmp_path / "fuzzed.lowline.geojson"
    path.write_bytes(content)
    outcome_is_a_plan_or_one_line(lambda: read_plan(path))


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


def spots_in(value: object) -> list[tuple[Any, Any]]:
    """Every place in a document where a value stands: its container and key."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [spot for key, inner in steps for spot in ((value, key), *spots_in(inner))]


@settings(max_examples=300, deadline=None)
@given(seed=st.integers(0, 2**32), value=JSON_VALUES, action=st.sampled_from(["replace", "remove", "swap"]))
def test_values_changed_at_random(seed: int, value: object, action: str):
    document = json.loads(TEXT)
    spots = spots_in(document)
    chance = random.Random(seed)
    container, key = chance.choice(spots)
    if action == "replace":
        container[key] = value
    elif action == "remove":
        del container[key]
    else:
        other, other_key = chance.choice(spots)
        container[key] = json.loads(json.dumps(other[other_key]))
    outcome_is_a_plan_or_one_line(lambda: plan_from_json(json.dumps(document), where="text"))


@settings(deadline=None)
@given(st.text(max_size=300))
def test_any_text(text: str):
    outcome_is_a_plan_or_one_line(lambda: plan_from_json(text, where="text"))
