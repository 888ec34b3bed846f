"""Edits of who, what and when: name, purpose, aircraft, window, chart sets."""

from collections.abc import Iterable

import attrs

from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.edits.base import OneStep
from planner.plan.model import Plan, Purpose
from planner.plan.papers import Papers


@attrs.frozen
class SetName:
    """Name the plan."""

    name: str

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set name"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return SetName

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that name."""
        return attrs.evolve(plan, name=self.name)


@attrs.frozen
class SetPurpose(OneStep):
    """Say under which rules the flight takes place, and by which community guidelines."""

    purpose: Purpose | None
    guidelines: str = ""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set purpose"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that purpose."""
        return attrs.evolve(plan, purpose=self.purpose, guidelines=self.guidelines)


@attrs.frozen
class SetPapers(OneStep):
    """Say what papers there are; None: nothing said."""

    papers: Papers | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set papers"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with those papers."""
        return attrs.evolve(plan, papers=self.papers)


@attrs.frozen
class SetAircraft(OneStep):
    """Say with which aircraft; None: not yet."""

    aircraft: Aircraft | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set aircraft"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that aircraft."""
        return attrs.evolve(plan, aircraft=self.aircraft)


@attrs.frozen
class SetWindow(OneStep):
    """Say when the flight may take place; None: not yet."""

    window: TimeWindow | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set time window"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that window."""
        return attrs.evolve(plan, window=self.window)


def _in_row(ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(ids)


@attrs.frozen
class SetChartSets(OneStep):
    """Name the chart sets by their ids, the first asked first."""

    chart_sets: tuple[str, ...] = attrs.field(converter=_in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set chart sets"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan on those chart sets."""
        return attrs.evolve(plan, chart_sets=self.chart_sets)
