"""The exception tree: trouble that ends in one clear line for the user.

Expected trouble (a place without data, a height above the ceiling) is a
finding, not an exception. An exception here means: this input can't be used.
"""


class LowlineError(Exception):
    """Root of the tree; carries what is wrong, where, and what to do.

    Parameters
    ----------
    what : str
        What is wrong, without a full stop.
    where : str
        File, field or place; empty if the sentence says it already.
    remedy : str
        What the user can do.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what = what
        self.where = where
        self.remedy = remedy
        super().__init__(self.one_line())

    def one_line(self) -> str:
        """Return the whole message on one line, whatever text it was given."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        tail = f"; {self.remedy}" if self.remedy else ""
        return " ".join(f"{head}{tail}".split())


class UsageError(LowlineError):
    """The command line was given something it can't act on."""


class PlanError(LowlineError):
    """A plan can't be built or read: its values contradict themselves."""


class PlanFileError(PlanError):
    """A plan file is missing, unreadable, of an unknown version or malformed."""


class ChartError(LowlineError):
    """A chart set, raster or publisher's file can't be read."""


class OutputError(LowlineError):
    """A file can't be written."""


class SystemLibraryError(LowlineError):
    """The desk can't start: libraries of the operating system are missing."""
