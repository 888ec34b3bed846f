"""Put faults into modules, one at a time, and see which no test notices.

Run from the top of the checkout: ``python -m tests.mutation.run MODULE... --tests TEST... [--faults N]``.
N faults are drawn from all modules, always the same ones; without N it is all of them. The tests are
collected once. Each fault goes into a process of its own, split off by the one that collected them, and only
the tests run there that call the function it is in, the fastest first. What survives is printed, a line each.
"""

import argparse
import ast
import contextlib
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import accumulate
from pathlib import Path

import attrs
import pytest

from tests.mutation.faults import Fault, faults_of
from tests.mutation.swap import CannotSwapError, Swapper
from tests.mutation.witnesses import Witnesses, noting

_SPARE_S = 20.0
_NOTICED, _SURVIVED, _NOT_TRIED = 0, 1, 2


def main() -> None:
    """Read the command line, try the faults, print survivors and the count."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("modules", nargs="+", type=Path)
    reader.add_argument("--tests", nargs="+", required=True)
    reader.add_argument("--faults", type=int, help="so many of them, drawn")
    reader.add_argument("--only", nargs="+", default=[], help="faults at these places, file:line each")
    reader.add_argument("--longest", type=float, default=5.0, help="leave out tests that take longer [s]")
    reader.add_argument("--budget", type=float, default=10.0, help="time for the tests of one fault [s]")
    chosen = reader.parse_args()
    trial = _Trial(_drawn(chosen.modules, chosen.faults, chosen.only), chosen.longest, chosen.budget)
    options = ["-q", "-n", "0", "-p", "no:cacheprovider", "--tb=no", "--assert=plain", *chosen.tests]
    sys.exit(pytest.main(options, plugins=[trial]))


def _drawn(modules: list[Path], count: int | None, only: list[str]) -> list[tuple[Path, Fault]]:
    every = [(module, fault) for module in modules for fault in faults_of(module.read_text("utf-8"))]
    if only:
        return [(module, fault) for module, fault in every if f"{module}:{fault.line}" in only]
    return every if count is None else random.Random(1).sample(every, min(count, len(every)))


@attrs.define
class _Trial:
    """A plugin of pytest that runs the collected tests once for every fault."""

    faults: list[tuple[Path, Fault]]
    longest_s: float
    budget_s: float

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try every fault, and say what became of it."""
        session.config.pluginmanager.unregister(name="terminalreporter")
        files = {path: str(path.resolve()) for path, _ in self.faults}
        swappers = {path: Swapper(path) for path in files}
        witnesses = Witnesses(session.items)
        _watched(witnesses, session, swappers)
        _say(f"watched {len(session.items)} tests in {witnesses.took_s:.0f} s")
        count = {_NOTICED: 0, _SURVIVED: 0, _NOT_TRIED: 0}
        for path, fault in self.faults:
            tests = witnesses.of(files[path], _begins(path, fault.line), self.longest_s)
            tests = tests[: _affordable(tests, self.budget_s)]
            outcome = _outcome(session, tests, swappers[path], fault)
            count[outcome] += 1
            if outcome != _NOTICED:
                word = ("noticed", "survived", "not tried")[outcome]
                _say(f"{word} by {len(tests)}: {path}:{fault.line}: {fault.before}  ->  {fault.after}")
        _say(
            f"{len(self.faults)} faults, {count[_NOTICED]} noticed, {count[_SURVIVED]} survived, "
            f"{count[_NOT_TRIED]} not tried"
        )
        return True


def _affordable(tests: list[tuple[pytest.Item, float]], budget_s: float) -> int:
    """Return how many of the tests, at least one, take no longer than the budget."""
    spent_s = list(accumulate(took for _, took in tests))
    return max(sum(spent <= budget_s for spent in spent_s), 1)


def _say(line: str) -> None:
    sys.stderr.write(line + "\n")
    sys.stderr.flush()


def _begins(path: Path, line: int) -> set[int] | None:
    """Return the lines at which the functions around a line begin; None outside of all."""
    found = {
        node.lineno
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.lineno <= line <= (node.end_lineno or node.lineno)
    }
    return found or None


def _watched(witnesses: Witnesses, session: pytest.Session, swappers: dict[Path, Swapper]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        seen = Path(folder) / "seen.json"

        def watch() -> int:
            for path, swapper in swappers.items():
                with contextlib.suppress(CannotSwapError):  # no function of its own: its faults are not tried
                    swapper.put_in(noting(path.read_text("utf-8"), str(path.resolve())))
            witnesses.watch(lambda item: _passes(session, item))
            witnesses.save(seen)
            return 0

        _split_off(watch, 3600.0)
        witnesses.load(seen)


def _passes(session: pytest.Session, item: pytest.Item) -> bool:
    failed = session.testsfailed
    session.shouldfail = session.shouldstop = False
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
    return session.testsfailed == failed


def _outcome(
    session: pytest.Session, tests: list[tuple[pytest.Item, float]], swapper: Swapper, fault: Fault
) -> int:
    def work() -> int:
        try:
            swapper.put_in(fault.source)
        except CannotSwapError:
            return _NOT_TRIED
        return _SURVIVED if all(_passes(session, item) for item, _ in tests) else _NOTICED

    return _split_off(work, _SPARE_S + 5 * sum(took for _, took in tests))


def _split_off(work: Callable[[], int], longest_s: float) -> int:
    """Return what some work in a process of its own returns; if it hangs or breaks off, noticed."""
    child = os.fork()
    if child == 0:
        code = _NOTICED
        try:
            _silence()
            code = work()
        finally:
            os._exit(code)
    for _ in _ticks(longest_s):
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else _NOTICED
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return _NOTICED


def _silence() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)


def _ticks(longest_s: float) -> Iterator[None]:
    begun, pause_s = time.monotonic(), 0.002
    while time.monotonic() - begun < longest_s:
        yield
        time.sleep(pause_s)
        pause_s = min(pause_s * 1.3, 0.05)


if __name__ == "__main__":
    main()
