"""Edits of the weather that a plan rests on."""

import attrs

from planner.plan.edits.base import OneStep
from planner.plan.model import Plan
from planner.plan.weather import PlannedWeather


@attrs.frozen
class SetWeather(OneStep):
    """Say what is known of the weather; None, or nothing in it: nothing is."""

    weather: PlannedWeather | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set weather"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that weather."""
        weather = None if self.weather == PlannedWeather() else self.weather
        return attrs.evolve(plan, weather=weather)
