"""What is kept beside the settings for other plans: by name, bounded, never written over if unreadable."""

import contextlib
from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, Generic, TypeVar

from planner.errors import PlanError
from planner.plan.file import EARLIER_SUFFIX, PLAN_SUFFIX

T = TypeVar("T")


class Shelf(Generic[T]):
    """A library in one file; `trouble` says in one line why it can't be read, '' if it can.

    A kind of library says how its file is read and written, and by what its things are known.
    Plans copy what they take, they never refer to it.
    """

    what: ClassVar[str]
    most: ClassVar[int] = 500

    def __init__(self, path: Path) -> None:
        self.path = path
        self.kept: tuple[T, ...] = ()
        self.trouble = ""
        self._read_at: tuple[int, int] | None = None
        self._take_over()
        self.refresh()

    def read(self) -> Sequence[T]:
        """Return what the file holds.

        Raises
        ------
        PlanError
            If it can't be read, or something in it can't be used; nothing is left out silently.
        """
        raise NotImplementedError

    def write(self, things: tuple[T, ...]) -> None:
        """Write the file in one step.

        Raises
        ------
        OutputError
            If that fails; the old file is then as it was.
        """
        raise NotImplementedError

    def name_of(self, thing: T) -> object:
        """Return by what a thing is known: keeping another of that name replaces it."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Read the file again if it has changed."""
        at = self._stamp()
        if at == self._read_at and at is not None:
            return
        self._read_at = at
        self.kept, self.trouble = (), ""
        if not self.path.exists():
            return
        try:
            self.kept = tuple(self.read())
        except PlanError as error:
            self.trouble = error.one_line()

    def called(self, name: object) -> T | None:
        """Return what is known by a name, None where nothing is."""
        return next((one for one in self.kept if self.name_of(one) == name), None)

    def keep(self, thing: T) -> None:
        """Add a thing, or put it in the place of the one of its name.

        Raises
        ------
        PlanError
            If the library can't be read, or is full.
        OutputError
            If the file can't be written.
        """
        self._readable()
        others = [one for one in self.kept if self.name_of(one) != self.name_of(thing)]
        if len(others) >= self.most:
            raise PlanError(f"the {self.what} is full", remedy=f"it holds {self.most}: take some out")
        self._put((*others, thing))

    def forget(self, name: object) -> None:
        """Take a thing out; plans that hold a copy keep theirs.

        Raises
        ------
        PlanError
            If the library can't be read.
        OutputError
            If the file can't be written.
        """
        self._readable()
        self._put(tuple(one for one in self.kept if self.name_of(one) != name))

    def _take_over(self) -> None:
        """Go on with a file of the name that plans had before."""
        earlier = self.path.with_name(self.path.name.removesuffix(PLAN_SUFFIX) + EARLIER_SUFFIX)
        if self.path.name.endswith(PLAN_SUFFIX) and earlier.exists() and not self.path.exists():
            with contextlib.suppress(OSError):
                earlier.rename(self.path)

    def _readable(self) -> None:
        self._read_at = None
        self.refresh()
        if self.trouble:
            raise PlanError(f"the {self.what} can't be read", where=self.trouble)

    def _put(self, things: tuple[T, ...]) -> None:
        self.write(things)
        self._read_at = None
        self.refresh()

    def _stamp(self) -> tuple[int, int] | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size
