"""Which tests reach which statements of modules, and how long each test takes."""

import ast
import builtins
import time
from collections import Counter
from collections.abc import Callable, Sequence

import pytest

_NOTE = "__note_call__"
_LATEST = 12


class Witnesses:
    """Tests by the lines at which the statements they reach begin; fast tests first."""

    def __init__(self, items: Sequence[pytest.Item]) -> None:
        self.items = list(items)
        self._called: list[set[tuple[str, int]]] = []
        self._took_s: list[float] = []
        self._passed: list[bool] = []
        self._files: list[set[str]] = []
        self._killed: list[int] = []
        self._reached: Counter[tuple[str, int]] = Counter()

    def watch(self, run: Callable[[pytest.Item], bool]) -> None:
        """Run every test once and note what it reaches in modules that are `noting`."""
        called: set[tuple[str, int]] = set()
        setattr(builtins, _NOTE, lambda file, line: called.add((file, line)))
        for item in self.items:
            called.clear()
            begun = time.monotonic()
            passed = run(item)
            self._took_s.append(time.monotonic() - begun)
            self._called.append(set(called))
            self._files.append({file for file, _ in called})
            self._passed.append(passed)

    @property
    def took_s(self) -> float:
        """How long all tests took together [s]."""
        return sum(self._took_s)

    def of(
        self, file: str, line: int | None, around: range, longest_s: float
    ) -> list[tuple[pytest.Item, float]]:
        """Return passing tests that reach a statement that begins at a line of a file (None: any of it).

        Those that noticed the latest faults come first, then those that reach what few tests reach of the
        lines around it: they are about it. Fast ones go before slow ones.
        """
        if not self._reached:
            self._reached.update(place for called in self._called for place in called)
        found = [
            number
            for number, called in enumerate(self._called)
            if self._passed[number]
            and self._took_s[number] <= longest_s
            and ((file, line) in called or (line is None and file in self._files[number]))
        ]
        latest = {number: -at for at, number in enumerate(self._killed[-_LATEST:])}

        def first(number: int) -> tuple[int, int, float]:
            rare = min(
                (self._reached[file, at] for at in around if (file, at) in self._called[number]), default=0
            )
            return latest.get(number, 1), rare, self._took_s[number]

        found.sort(key=first)
        return [(self.items[number], self._took_s[number]) for number in found]

    def noticed(self, item: pytest.Item) -> bool:
        """Note that a test noticed a fault; return whether it is its first."""
        number = self.items.index(item)
        first = number not in self._killed
        self._killed.append(number)
        return first

    def drop(self, item: pytest.Item) -> None:
        """Leave a test out from now on."""
        number = self.items.index(item)
        self._passed[number] = False
        self._killed = [other for other in self._killed if other != number]


def noting(source: str, file: str) -> str:
    """Return a module's source whose functions say, at each statement, the line that it begins at."""
    tree = ast.parse(source)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    seen: set[int] = set()
    for function in functions:
        for node in list(ast.walk(function)):
            for name in ("body", "orelse", "finalbody"):
                block = getattr(node, name, None)
                if isinstance(block, list) and id(block) not in seen:
                    seen.add(id(block))
                    block[:] = [piece for statement in block for piece in (_note(file, statement), statement)]
        function.body.insert(0, _note(file, function))
    return ast.unparse(ast.fix_missing_locations(tree))


def _note(file: str, at: ast.stmt) -> ast.Expr:
    return ast.Expr(ast.Call(ast.Name(_NOTE, ast.Load()), [ast.Constant(file), ast.Constant(at.lineno)], []))


def noted_line(source: str, line: int) -> tuple[int | None, range]:
    """Return where the innermost statement around a line begins, None outside functions; and lines about."""
    around: list[ast.stmt] = []
    lines = range(1, source.count("\n") + 2)
    for function in ast.walk(ast.parse(source)):
        if not isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if function.lineno <= line <= (function.end_lineno or 0):
            lines = range(function.lineno, (function.end_lineno or 0) + 1)
            around += [
                statement
                for statement in ast.walk(function)
                if isinstance(statement, ast.stmt) and statement.lineno <= line <= (statement.end_lineno or 0)
            ]
    return max((statement.lineno for statement in around), default=None), lines
