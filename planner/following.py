"""The questions that take longer than a move of the mouse.

Each is one function that takes the case the live part has laid out and returns
it with its own answer filled in; what the answer means is for its rules in
`planner.rules`, joined to those that follow in `planner.rules.judge`. A further
question is one more function in `_QUESTIONS`.
"""

from collections.abc import Callable

import attrs

from planner.geo.progress import Progress, Unwatched
from planner.rules.case import Case
from planner.sight.answer import sight_of

Question = Callable[[Case, Progress], Case]


def followed(case: Case, progress: Progress | None = None) -> Case:
    """Return the case with all following questions answered; pure."""
    progress = Unwatched() if progress is None else progress
    for done, question in enumerate(_QUESTIONS):
        progress.report(done / len(_QUESTIONS))
        case = question(case, progress)
    return case


def _who_sees(case: Case, _progress: Progress) -> Case:
    area = case.area_samples if case.area is not None else None
    return attrs.evolve(case, sight=sight_of(case.plan, case.mapped, case.track, area))


_QUESTIONS: tuple[Question, ...] = (_who_sees,)
