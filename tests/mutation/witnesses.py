"""Which tests call which modules' functions, and how long each test takes."""

import ast
import builtins
import json
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import pytest

_NOTE = "__note_call__"


class Witnesses:
    """Tests by the lines at which the functions they call begin; fast tests first."""

    def __init__(self, items: Sequence[pytest.Item]) -> None:
        self.items = list(items)
        self._called: list[set[tuple[str, int]]] = []
        self._took_s: list[float] = []
        self._passed: list[bool] = []

    def watch(self, run: Callable[[pytest.Item], bool]) -> None:
        """Run every test once and note what it calls, in modules whose functions are `noting`."""
        called: set[tuple[str, int]] = set()
        setattr(builtins, _NOTE, lambda file, line: called.add((file, line)))
        for item in self.items:
            called.clear()
            begun = time.monotonic()
            passed = run(item)
            self._took_s.append(time.monotonic() - begun)
            self._called.append(set(called))
            self._passed.append(passed)

    @property
    def took_s(self) -> float:
        """How long all tests took together [s]."""
        return sum(self._took_s)

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


def noting(source: str, file: str) -> str:
    """Return a module's source whose functions say that they are called, and the line they begin at."""
    tree = ast.parse(source)
    functions: Iterable[ast.FunctionDef | ast.AsyncFunctionDef] = (
        node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    for function in functions:
        call = ast.Call(ast.Name(_NOTE, ast.Load()), [ast.Constant(file), ast.Constant(function.lineno)], [])
        function.body.insert(0, ast.Expr(call))
    return ast.unparse(ast.fix_missing_locations(tree))
