"""What an edit left alone at both ends of a row: edits hand on the very things that they do not change."""

from collections.abc import Sequence


def unchanged_ends(before: Sequence[object], after: Sequence[object]) -> tuple[int, int]:
    """Return how many things at the beginning and at the end are the very same ones in both rows.

    None is counted twice: together they are no more than the shorter row has.
    """
    least = min(len(before), len(after))
    pairs = zip(before, after, strict=False)
    head = next((k for k, (one, other) in enumerate(pairs) if one is not other), least)
    left = least - head
    ends = zip(reversed(before), reversed(after), strict=False)
    tail = next((k for k, (one, other) in enumerate(ends) if k == left or one is not other), left)
    return head, tail
