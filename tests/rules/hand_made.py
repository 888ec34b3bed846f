"""Lines of sight made by hand, so that a test of the rules knows who has what of each sample.

The path, its ground and the people are those of `tests.worlds`; only what they see is put in.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache

import attrs
import numpy as np

from planner.assess import assess
from planner.plan.model import Plan
from planner.rules.case import Case
from planner.sight.along import SightProfile
from planner.world.world import World
from tests.worlds import plan, world


@lru_cache(maxsize=1)
def complete() -> Case:
    """The case of the complete plan over level ground: one kilometre, all of it seen."""
    return judged(plan())


def judged(flight: Plan, charts: World | None = None) -> Case:
    """The case of a flight, by default over level ground."""
    case = assess(flight, world() if charts is None else charts).case
    assert case is not None
    return case


def all_seen(case: Case, key: str = "observer", **changes: object) -> SightProfile:
    """A profile in which all is seen, far from the sun and from what stands in the way; (n,) each."""
    assert case.track is not None
    n = len(case.track)
    masks = ("hidden", "too_far", "unknown", "untried", "against_sun", "barely", "thin")
    figures = {
        "slant_range_m": 100.0,
        "clearance_m": 9.0,
        "clearance_doubt_m": 0.0,
        "spare_m": 9.0,
        "spare_at_m": 1.0,
        "sure_spare_m": 9.0,
        "sun_angle_deg": 90.0,
    }
    given: dict[str, object] = {name: np.zeros(n, dtype=bool) for name in masks}
    given |= {name: np.full(n, value) for name, value in figures.items()}
    given |= {"behind": np.full(n, -1), "unmeasured": np.full(n, -1)}
    return SightProfile(key=key, **{**given, **changes})


def at_samples(case: Case, *samples: int) -> np.ndarray:
    """A mask that holds at some samples only."""
    assert case.track is not None
    mask = np.zeros(len(case.track), dtype=bool)
    mask[list(samples)] = True
    return mask


def where_seen(
    see: Mapping[str, Callable[[Case], SightProfile]], case: Case | None = None, **changes: object
) -> Case:
    """A case, by default the complete one, with some people's lines of sight put in.

    One second passes from sample to sample. `changes` are those of the answer on sight.
    """
    case = complete() if case is None else case
    answer = case.sight
    assert answer is not None
    assert answer.times is not None
    profiles = tuple(
        see[member.key](case) if member.key in see else all_seen(case, member.key) for member in answer.people
    )
    times = attrs.evolve(answer.times, time_s=np.arange(len(answer.times.time_s), dtype=float))
    given = {"profiles": profiles, "times": times, **changes}
    return attrs.evolve(case, sight=attrs.evolve(answer, **given))
