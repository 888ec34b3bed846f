"""Which tests call which modules' functions, and how long each test takes."""

import json
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

Lines = dict[str, list[list[int]]]


class Witnesses:
    """Tests by the lines at which the functions they call begin; fast tests first."""

    def __init__(self, items: Sequence[pytest.Item], files: Sequence[str]) -> None:
        self.items = list(items)
        self._files = set(files)
        self._called: list[set[tuple[str, int]]] = []
        self._took_s: list[float] = []
        self._passed: list[bool] = []

    def watch(self, run) -> None:
        """Run every test once and note what it calls."""
        for item in self.items:
            called: set[tuple[str, int]] = set()
            note = self._noting(called)
            begun = time.monotonic()
            threading.setprofile(note)
            sys.setprofile(note)
            try:
                passed = run(item)
            finally:
                sys.setprofile(None)
                threading.setprofile(None)
            self._called.append(called)
            self._took_s.append(time.monotonic() - begun)
            self._passed.append(passed)

    def _noting(self, called: set[tuple[str, int]]):
        files = self._files

        def note(frame, event, _argument):
            if event == "call" and frame.f_code.co_filename in files:
                called.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

        return note

    def save(self, path: Path) -> None:
        """Write what was seen, to be read by another process."""
        rows = [
            (sorted(called), took, passed)
            for called, took, passed in zip(self._called, self._took_s, self._passed, strict=True)
        ]
        path.write_text(json.dumps(rows), "utf-8")

    def load(self, path: Path) -> None:
        """Read what another process has seen of the same tests."""
        for called, took, passed in json.loads(path.read_text("utf-8")):
            self._called.append({(file, line) for file, line in called})
            self._took_s.append(took)
            self._passed.append(passed)

    def of(self, file: str, lines: set[int] | None, longest_s: float) -> list[tuple[pytest.Item, float]]:
        """Return passing tests that call a function of a file that begins at one of `lines` (None: any)."""
        found = [
            (item, took)
            for item, called, took, passed in zip(
                self.items, self._called, self._took_s, self._passed, strict=True
            )
            if passed
            and took <= longest_s
            and any(where == file and (lines is None or line in lines) for where, line in called)
        ]
        return sorted(found, key=lambda entry: entry[1])
