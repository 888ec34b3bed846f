"""What a flight is called on paper: as its plan, or as the plan's file where the plan has no name."""

from pathlib import Path

import attrs

from planner.assessment import Assessment
from planner.plan.file import plan_name


def named_as_its_file(answer: Assessment, path: Path | None) -> Assessment:
    """Return the judgement of a plan that bears a name if it has one, or a file."""
    if answer.plan.name or path is None:
        return answer
    return attrs.evolve(answer, plan=attrs.evolve(answer.plan, name=plan_name(path)))
