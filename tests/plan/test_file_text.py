"""The text of a plan's file against Python's own `json`, indented, which read and wrote it before."""

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.plan.file import plan_as_object, plan_to_json
from planner.plan.file_text import text_from_object
from tests.plan.sample_plan import FULL_PLAN

_POSITION = re.compile(r"\[\n\s+(-?[0-9][0-9.eE+-]*),\n\s+(-?[0-9][0-9.eE+-]*)\n\s+\]")
_FIGURES = st.one_of(st.integers(), st.floats(allow_nan=False, allow_infinity=False))
_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), _FIGURES, st.text(), st.tuples(_FIGURES, _FIGURES).map(list)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.lists(inner, max_size=4).map(tuple),
        st.dictionaries(st.text(), inner, max_size=4),
    ),
    max_leaves=30,
)


def by_json(document):
    text = json.dumps(document, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return _POSITION.sub(r"[\1, \2]", text) + "\n"


@given(st.dictionaries(st.text(), _VALUES, max_size=5))
def test_it_is_what_json_writes_with_each_position_on_one_line(document):
    assert text_from_object(document) == by_json(document)


def test_a_plan_that_says_everything_is_written_as_before():
    assert plan_to_json(FULL_PLAN) == by_json(plan_as_object(FULL_PLAN))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), [1.0, float("-inf")], {"a": [float("nan")]}])
def test_what_is_no_number_is_never_written(value):
    with pytest.raises(ValueError, match="JSON"):
        text_from_object({"a": value})
