"""At which hours the map shows airspace: the plan's window, or one moment of it."""

from planner.desk.map_layers import asleep
from planner.geo.window import TimeWindow
from planner.plan.model import Plan
from planner.world.world import World


class MapHours:
    """Remembers what was drawn, so that nothing is drawn anew while the same airspace sleeps."""

    def __init__(self) -> None:
        self.instant: TimeWindow | None = None
        self._drawn_at: TimeWindow | None = None
        self._asleep: frozenset[str] = frozenset()

    def changed(self, plan: Plan, world: World) -> bool:
        """Whether other airspace sleeps than when it was drawn."""
        shown = self.instant or plan.window
        if shown == self._drawn_at:
            return False
        before = self._asleep
        self.drawn(plan, world)
        return self._asleep != before

    def drawn(self, plan: Plan, world: World) -> TimeWindow | None:
        """Take note that it is drawn as it is now; return at which hours."""
        self._drawn_at = self.instant or plan.window
        self._asleep = asleep(world, self._drawn_at)
        return self._drawn_at
