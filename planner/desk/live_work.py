"""The live judgement: at once where it takes a moment, on a worker where many legs are new."""

from itertools import pairwise
from typing import Final

import attrs

from planner.assess import Memory, assess_ahead, assess_live, frame_for, legs_to_judge
from planner.assessment import Assessment
from planner.geo.progress import Progress
from planner.plan.model import Plan
from planner.track.unchanged import unchanged_ends
from planner.world.world import World

LEGS_AT_ONCE: Final = 20
"""So many new legs are judged at once: each takes one to three milliseconds, all else about thirty."""
_OTHER_PARTS: Final = tuple(
    part.name for part in attrs.fields(Plan) if part.name not in ("path", "saved_as_draft")
)


class LiveWork:
    """Judges for the desk and keeps what may be used again, for its own thread and for the worker.

    Notes
    -----
    The worker has a memory of its own, but fills the same legs: each leg is the same whoever samples it.
    """

    def __init__(self) -> None:
        self._memory = Memory()
        self._last: tuple[Plan, World] | None = None

    def at_once(self, plan: Plan, world: World) -> Assessment:
        """Judge now, on the thread that asks."""
        answer = assess_live(plan, world, self._memory)
        self._last = plan, world
        return answer

    def legs_ahead(self, plan: Plan, world: World) -> int:
        """Return how many legs are new, 0 for as many as can be judged at once."""
        if len(plan.path) - 1 <= LEGS_AT_ONCE or self._differs_little(plan, world):
            return 0
        legs = legs_to_judge(plan, world, self._memory)
        return legs if legs > LEGS_AT_ONCE else 0

    def known(self, plan: Plan, world: World) -> Assessment:
        """Return what is known without that work."""
        return assess_ahead(plan, world, self._memory)

    def on_worker(self, plan: Plan, world: World, progress: Progress) -> Assessment:
        """Judge on a worker; what was done counts even where nobody waits any more.

        Raises
        ------
        Cancelled
            If nobody waits.
        """
        memory = attrs.evolve(self._memory)
        try:
            answer = assess_live(plan, world, memory, progress)
            self._last = plan, world
            return answer
        finally:
            self._memory = memory

    def _differs_little(self, plan: Plan, world: World) -> bool:
        """Whether all but some points is what was judged last; edits hand on what they leave alone."""
        if self._last is None or self._last[1] is not world:
            return False
        before = self._last[0]
        if any(getattr(before, name) is not getattr(plan, name) for name in _OTHER_PARTS):
            return False
        # Heights above launch count from the first point where no launch is set; the plane goes by it, too.
        frames = frame_for(before), frame_for(plan)
        same_plane = len({frame.origin if frame else None for frame in frames}) == 1
        same_start = before.path[:1] == plan.path[:1] and same_plane
        head, tail = unchanged_ends(before.path, plan.path)
        old, now = (
            path[max(head - 1, 0) : len(path) - max(tail - 1, 0)] for path in (before.path, plan.path)
        )
        known = {(id(one), id(other)) for one, other in pairwise(old)}
        new = sum((id(one), id(other)) not in known for one, other in pairwise(now))
        return same_start and new <= LEGS_AT_ONCE
