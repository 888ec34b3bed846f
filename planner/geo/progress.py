"""Long work tells how far it is, and stops when nobody waits for it any more."""

from typing import Protocol


class Cancelled(Exception):
    """The answer is not wanted any more; raised by `Progress.report`."""


class Progress(Protocol):
    """The token a long, pure computation is given."""

    def report(self, share: float) -> None:
        """Take note that a share (0 to 1) of the work is done.

        Raises
        ------
        Cancelled
            If the work should stop.
        """


class Unwatched:
    """A token for work that nobody watches and nobody stops."""

    def report(self, share: float) -> None:
        """Take no note."""
