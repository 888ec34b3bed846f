"""What the plan on the desk is compared with, and the comparison itself; runs on a worker."""

import os
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

import attrs

from planner.assessment import Assessment
from planner.desk.saying import happened
from planner.errors import PlanFileError
from planner.plan.model import Plan
from planner.remedy.compare_change import Side

if TYPE_CHECKING:
    from planner.desk.commands import WorldSource
    from planner.remedy.compare import Comparison

ON_DESK = "The plan on the desk"


class Against(Enum):
    """With what the plan on the desk is compared."""

    SAVED = "as last saved"
    PLAN = "another plan"
    CHARTS = "other charts"


@attrs.frozen(eq=False)
class Question:
    """The plan as it is judged on the desk, with what to compare it, and where that is.

    `left` is what the desk last read from the plan's own file or wrote there, None if that is not known.
    """

    desk: Assessment
    against: Against
    path: Path
    left: Plan | None = None


@attrs.frozen(eq=False)
class Answer:
    """The comparison, what its sides are called, and which of them are the path on the desk.

    `other` is the other side's judgement with the state of the file it was read from.
    """

    comparison: "Comparison"
    before: str
    after: str
    desk_sides: frozenset[Side]
    other: "Other"


@attrs.frozen(eq=False)
class Other:
    """Another plan that was judged, and by what its file is known to be the same still."""

    key: tuple[object, ...]
    answer: Assessment


def compared(question: Question, source: "WorldSource", known: Other | None) -> Answer:
    """Judge the other side and compare; `known` is taken again where its file has not changed since.

    Raises
    ------
    LowlineError
        If the other plan or the charts can't be read.
    """
    from planner.remedy.compare import compare

    if question.against is Against.CHARTS:
        other = _by_charts(question, source)
        comparison = compare(question.desk, other.answer)
        return Answer(comparison, ON_DESK, f"By {question.path.name}", frozenset(Side), other)
    other = _of_file(question.path, source, known)
    comparison = compare(other.answer, question.desk)
    return Answer(comparison, _called(question, other.answer.plan), ON_DESK, frozenset({Side.AFTER}), other)


def _by_charts(question: Question, source: "WorldSource") -> Other:
    from planner.assess import assess
    from planner.desk.commands import WorldSource

    plan = question.desk.plan
    world = WorldSource([question.path], source.terrain).load(plan)
    return Other((), assess(plan, world))


def _of_file(path: Path, source: "WorldSource", known: Other | None) -> Other:
    from planner.assess import assess
    from planner.plan.file import read_plan

    key = (path, _written(path).st_mtime_ns, tuple(source.charts or ()), source.terrain)
    if known is not None and known.key == key:
        return known
    plan = read_plan(path)
    return Other(key, assess(plan, source.load(plan)))


def _called(question: Question, there: Plan) -> str:
    if question.against is Against.PLAN:
        return question.path.name
    when = happened(datetime.fromtimestamp(_written(question.path).st_mtime, UTC))
    if question.left is None or there == question.left:
        return f"As last saved, {when}"
    return (
        f"The file as it is on the disk now, written by somebody else, {when}. "
        "What you have changed since you last read or saved it is in the list, too"
    )


def _written(path: Path) -> os.stat_result:
    try:
        return path.stat()
    except OSError as error:
        raise PlanFileError(
            f"can't be read ({error.strerror})", where=str(path), remedy="choose another"
        ) from None
