"""The last whole answer, kept while the next one is worked out: nothing is drawn as clear meanwhile."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from itertools import pairwise

import attrs
from PySide6.QtCore import QObject

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.drawing.path_pattern import Stretch, laid_together, stretches
from planner.drawing.patterns import Pattern
from planner.rules.finding import Finding, Mark

_NO_GAP_M = 1e-6
_WEIGHT = {mark: rank for rank, mark in enumerate(Mark)}


class LastAnswer(QObject):
    """One for each document, shared by all that show it; it is asked with the document's assessment.

    The part that follows (sight, the way home, what is beneath) is kept leg by leg: a leg between the same
    two points keeps what was said of it, any other is not known until the answer is there.
    """

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._live: Assessment | None = None
        self._whole: Assessment | None = None
        self._since: tuple[Finding, ...] = ()
        self._later: tuple[Stretch, ...] | None = None
        self._drawn: tuple[Assessment, tuple[Stretch, ...]] | None = None
        document.replaced.connect(self._forget)

    @classmethod
    def of(cls, document: Document) -> "LastAnswer":
        """Return the one that the document has."""
        return document.findChild(cls) or cls(document)

    def stretches(self, answer: Assessment) -> tuple[Stretch, ...]:
        """Return the whole path in stretches, what is not worked out yet as it was or as not known."""
        self._note(answer)
        if self._drawn is None or self._drawn[0] is not answer:
            now = stretches(answer)
            complete = answer.whole or not answer.live or not now
            self._drawn = answer, now if complete else self._with_last(answer, now)
        return self._drawn[1]

    def findings(self, answer: Assessment) -> tuple[Finding, ...]:
        """Return what is found, and until the answer is whole what the part that follows found before."""
        self._note(answer)
        if answer.whole:
            return answer.findings
        told = {(finding.rule, finding.title) for finding in answer.findings}
        kept = [finding for finding in self._since if (finding.rule, finding.title) not in told]
        return tuple(sorted([*answer.findings, *kept], key=lambda finding: _WEIGHT[finding.mark]))

    def whole(self, answer: Assessment) -> Assessment:
        """Return the last whole answer, the present one where there is none."""
        self._note(answer)
        return self._whole or answer

    def _note(self, answer: Assessment) -> None:
        if answer.plan is not self._document.plan:
            return  # of the plan before: another one is about to be judged
        if not answer.live:
            return  # nothing is judged yet
        if not answer.whole:
            self._live = answer
        elif answer is not self._whole:
            live = self._live
            told = live.findings if live is not None and live.world is answer.world else ()
            self._since = tuple(finding for finding in answer.findings if finding not in told)
            self._whole, self._later = answer, None

    def _forget(self) -> None:
        self._live = self._whole = self._later = self._drawn = None
        self._since = ()

    def _with_last(self, answer: Assessment, now: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        assert answer.track is not None
        return laid_together(answer.track.length_m, [*now, *_in_one(self._carried(answer))])

    def _carried(self, answer: Assessment) -> Iterator[Stretch]:
        known = {} if self._whole is None else _legs(self._whole)
        parts = self._said_later() if known else ()
        ends_m = [part.to_m for part in parts]
        for pair, (from_m, to_m) in _legs(answer).items():
            before = known.get(pair)
            if before is None:
                yield Stretch(from_m, to_m, Pattern.UNKNOWN)
            else:
                first, after = bisect_right(ends_m, before[0]), bisect_left(ends_m, before[1])
                yield from _moved(parts[first : after + 1], before, (from_m, to_m))

    def _said_later(self) -> tuple[Stretch, ...]:
        if self._later is None:
            assert self._whole is not None
            later = attrs.evolve(self._whole, findings=self._since, permissions=(), profile=None)
            self._later = tuple(part for part in stretches(later) if part.pattern is not Pattern.CLEAR)
        return self._later


def _in_one(parts: Iterable[Stretch]) -> list[Stretch]:
    """Return stretches that follow on each other in one pattern as one."""
    found: list[Stretch] = []
    for part in parts:
        last = found[-1] if found else None
        if last is not None and last.pattern is part.pattern and abs(last.to_m - part.from_m) < _NO_GAP_M:
            found[-1] = Stretch(last.from_m, part.to_m, part.pattern)
        else:
            found.append(part)
    return found


def _legs(answer: Assessment) -> dict[tuple[int, int], tuple[float, float]]:
    """Return each leg's ends along the path [m] by its points; edits hand on those that they leave alone."""
    if answer.track is None:
        return {}
    ends_m = answer.track.distance_m[answer.track.point_sample].tolist()
    points = [id(point) for point in answer.plan.path]
    return dict(zip(pairwise(points), pairwise(ends_m), strict=True))


def _moved(
    parts: tuple[Stretch, ...], before: tuple[float, float], now: tuple[float, float]
) -> Iterator[Stretch]:
    from_m, to_m = before
    grown = (now[1] - now[0]) / (to_m - from_m) if to_m > from_m else 0.0
    for part in parts:
        begin_m, end_m = max(part.from_m, from_m), min(part.to_m, to_m)
        if end_m > begin_m:
            yield Stretch(
                now[0] + (begin_m - from_m) * grown, now[0] + (end_m - from_m) * grown, part.pattern
            )
