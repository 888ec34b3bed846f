"""Which ways that are not drawn count where a record ends: heights over either ground put in by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.rules import beside_record as module


@pytest.mark.parametrize(
    ("level", "level_beside", "close"),
    [
        ([True, False, False], [False, False, False], True),
        ([False, False, False], [False, True, False], True),
        ([True, True, True], [True, True, True], True),
        ([False, False, False], [False, False, False], False),
    ],
)
def test_a_way_that_is_not_drawn_counts_where_any_of_it_is_at_those_heights(
    level, level_beside, close, monkeypatch
):
    """Over its own ground or over that at the edge: put in by hand."""
    way = SimpleNamespace(
        words="W", line="line", shares=None, places=lambda _shares: None, planned_amsl_m=None
    )
    for name, one in {
        "_of_path": lambda *_: [],
        "ways_not_drawn": lambda *_: [way],
        "sample_way": lambda *_: "flown",
        "level": lambda *_: np.array(level),
        "level_beside": lambda *_: np.array(level_beside),
        "_of": lambda _mapped, words, line, beyond: [SimpleNamespace(away_m=3.0, of=(words, line, beyond))],
    }.items():
        monkeypatch.setattr(module, name, one)
    opened = SimpleNamespace(column=3, all_along=lambda flown: flown, beyond=lambda flown: f"beyond {flown}")
    case = SimpleNamespace(area_samples=None, area=None)
    found = module.nearest_inside(case, SimpleNamespace(airspace={3: "volume"}), opened)
    assert (found and found.of) == (("The way W is", "line", "beyond flown") if close else None)
