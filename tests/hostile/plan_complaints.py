"""A valid plan file, ways to spoil it, and the one line that must come of it."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from planner.errors import LowlineError, PlanFileError
from planner.plan.file import plan_from_json, plan_to_json
from tests.plan.sample_plan import FULL_PLAN

TEXT = plan_to_json(FULL_PLAN)

Change = Callable[[dict[str, Any]], object]


def complaint(text: str) -> str:
    with pytest.raises(PlanFileError) as caught:
        plan_from_json(text, where="ridge.lowline.geojson")
    return one_clear_line(caught.value)


def one_clear_line(error: LowlineError) -> str:
    line = error.one_line()
    assert line.isprintable()
    assert len(line) < 700
    assert error.remedy, line
    return line


def changed(change: Change) -> str:
    document = json.loads(TEXT)
    change(document)
    return json.dumps(document)
