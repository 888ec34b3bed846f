"""What is asked for as it is flown, and how far above the ceiling that leaves it: heights put in by hand (m).

That airspace entered only as flown is asked for like any other is our own rule; heights are differences.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.permission.need import PermissionNeed, Rise, Route, Subject
from planner.rules import followed_ground as ground_rule
from planner.rules import need_as_flown as rule
from planner.rules.need_as_flown import with_airspace_as_flown
from planner.world.airspace import AirspaceKind
from tests.worlds import plan, volume

D, SHUT = AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED


@attrs.frozen
class Use:
    """A use of some columns of airspace."""

    volumes: tuple[int, ...]
    need: PermissionNeed


def use(*columns, **given):
    return Use(columns, PermissionNeed(Subject.AIRSPACE, "D", "D", Route.AUTOMATED, **given))


def with_more(monkeypatch, airspace, *known, ways=("way",), mapped=True):
    """The uses with those added, which are of column 9."""
    asked = []

    def uses_besides(_plan, _mapped, uses, some, launch_m):
        asked.append((uses, some, launch_m))
        return (use(9, not_drawn=True),)

    monkeypatch.setattr(rule, "uses_besides", uses_besides)
    monkeypatch.setattr(rule, "samples_as_flown", lambda _case: iter(ways))
    monkeypatch.setattr(rule, "launch_ground_m", lambda _case: 300.0)
    near = {column: volume(kind) for column, kind in airspace.items()}
    case = SimpleNamespace(plan=plan(), mapped=SimpleNamespace(airspace=near) if mapped else None)
    found = with_airspace_as_flown(case, known)
    assert found[: len(known)] == known
    return [(one.volumes, one.need.rise) for one in found[len(known) :]], asked


AS_FLOWN = [((9,), Rise.AS_FLOWN)]


@pytest.mark.parametrize(
    ("airspace", "used", "given", "added"),
    [
        ({9: D}, (), {}, AS_FLOWN),
        ({1: D, 9: D}, (1,), {}, AS_FLOWN),
        ({1: D}, (1,), {}, []),  # nothing else asks
        ({1: SHUT, 2: AirspaceKind.ALERT}, (), {}, []),
        ({9: D}, (), {"ways": ()}, []),  # it is flown as drawn
        ({9: D}, (), {"mapped": False}, []),
        ({}, (), {}, []),
    ],
)
def test_what_is_entered_as_flown_alone_is_asked_for(airspace, used, given, added, monkeypatch):
    known = tuple(use(column) for column in used)
    found, asked = with_more(monkeypatch, airspace, *known, **given)
    assert found == added
    assert asked == ([(known, ("way",), 300.0)] if added else [])


STILL_M, OVER_M = np.array([90.0, 95.0, 97.0, 99.0]), np.array([math.nan, 0.0, 7.0, 9.0])


@pytest.mark.parametrize(
    ("needs", "left_m"),
    [
        # A shelf that would close from 90 m on is asked for: what is left is the limit at 98 m.
        ([{"not_drawn": True, "rise": Rise.AS_FLOWN}], [math.nan, 0.0, -1.0, 1.0]),
        ([{}, {"not_drawn": True, "rise": Rise.AS_FLOWN}], [math.nan, 0.0, -1.0, 1.0]),
        # Nothing is asked for, or what is drawn, or comes on lost link, alone.
        ([], [math.nan, 0.0, 7.0, 9.0]),
        ([{}], [math.nan, 0.0, 7.0, 9.0]),
        ([{"not_drawn": True}], [math.nan, 0.0, 7.0, 9.0]),
        ([{"rise": Rise.AS_FLOWN}], [math.nan, 0.0, 7.0, 9.0]),
        # It is granted already: then the ceiling has it.
        ([{"not_drawn": True, "rise": Rise.AS_FLOWN, "record": "a record"}], [math.nan, 0.0, 7.0, 9.0]),
    ],
)
def test_how_far_it_is_above_what_is_not_asked_for(needs, left_m, monkeypatch):
    track = SimpleNamespace(x_m=np.arange(4.0), y_m=np.arange(4.0) + 10.0)

    def over_ways(_scene, x_m, y_m, amsl_m):
        assert (x_m.tolist(), y_m.tolist(), amsl_m.tolist()) == ([2.0, 3.0], [12.0, 13.0], [97.0, 99.0])
        return SimpleNamespace(ceiling=SimpleNamespace(amsl_m=np.full(2, 98.0)))

    monkeypatch.setattr(ground_rule, "over_ways", over_ways)
    monkeypatch.setattr(ground_rule, "Scene", lambda *given: given)
    for mapped in ("map", None):
        case = SimpleNamespace(plan="plan", mapped=mapped, uses=[use(9, **one) for one in needs])
        flown = SimpleNamespace(still_amsl_m=STILL_M)
        found = ground_rule._less_what_is_asked_for(case, track, flown, OVER_M.copy())
        expected = left_m if mapped else OVER_M.tolist()
        assert found.tolist() == pytest.approx(expected, nan_ok=True)
    nowhere = ground_rule._less_what_is_asked_for(case, track, flown, np.zeros(4))
    assert nowhere.tolist() == [0.0] * 4
