"""Put faults into modules, one at a time, and see which no test notices.

Run from the top of the checkout: ``python -m tests.mutation.run MODULE... --tests TEST... [--faults N]``.
N faults are drawn from all modules, always the same ones; without N it is all of them. The tests are
collected and watched once. Each fault goes into a process of its own, split off by the one that watched, and
only the tests run there that reach its statement: first those that noticed the latest faults, then those that
reach what few do around it. Printed is what survives, and what hangs: no test ends with it, so it is noticed.
"""

import argparse
import contextlib
import gc
import mmap
import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from functools import _lru_cache_wrapper
from itertools import accumulate
from pathlib import Path

import attrs
import pytest

from tests.mutation.faults import Fault, faults_of
from tests.mutation.swap import CannotSwapError, Swapper
from tests.mutation.witnesses import Witnesses, noted_line, noting

_SPARE_S, _SPARE_CPU_S = 60.0, 3.0
_NOTICED, _SURVIVED, _NOT_TRIED, _HUNG = 0, 1, 2, 3
_WORDS = {_NOTICED: "noticed", _HUNG: "hung", _SURVIVED: "survived", _NOT_TRIED: "not tried"}


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
        witnesses = _watched(session, swappers)
        _say(f"watched {len(session.items)} tests in {witnesses.took_s:.0f} s")
        count = dict.fromkeys(_WORDS, 0)
        for path, fault in self.faults:
            where = files[path], *noted_line(path.read_text("utf-8"), fault.line)
            outcome, tests = self._outcome(session, witnesses, swappers[path], fault, where)
            count[outcome] += 1
            if outcome != _NOTICED:
                _say(f"{_WORDS[outcome]} by {tests}: {path}:{fault.line}: {fault.before}  ->  {fault.after}")
        _say(f"{len(self.faults)} faults: " + ", ".join(f"{count[each]} {_WORDS[each]}" for each in _WORDS))
        return True

    def _outcome(
        self,
        session: pytest.Session,
        witnesses: Witnesses,
        swapper: Swapper,
        fault: Fault,
        where: tuple[str, int | None, range],
    ) -> tuple[int, int]:
        """Return what became of a fault, and of how many tests."""
        while True:
            tests = witnesses.of(*where, self.longest_s)
            tests = tests[: _affordable(tests, self.budget_s)]
            outcome, by = _tried(session, tests, swapper, fault)
            if by is None or not witnesses.noticed(by):
                return outcome, len(tests)
            if _tried(session, [(by, 1.0)], swapper, None)[0] == _SURVIVED:
                return outcome, len(tests)
            witnesses.drop(by)  # it fails in a process of its own without any fault


def _affordable(tests: list[tuple[pytest.Item, float]], budget_s: float) -> int:
    """Return how many of the tests, at least one, take no longer than the budget."""
    spent_s = list(accumulate(took for _, took in tests))
    return max(sum(spent <= budget_s for spent in spent_s), 1)


def _say(line: str) -> None:
    sys.stderr.write(line + "\n")
    sys.stderr.flush()


def _watched(session: pytest.Session, swappers: dict[Path, Swapper]) -> Witnesses:
    witnesses = Witnesses(session.items)
    for path, swapper in swappers.items():
        with contextlib.suppress(CannotSwapError):  # no function of its own: its faults are not tried
            swapper.put_in(noting(path.read_text("utf-8"), str(path.resolve())))
    with _silenced():
        witnesses.watch(lambda item: _passes(session, item))
    for swapper in swappers.values():
        swapper.restore()
    gc.collect()
    gc.freeze()
    return witnesses


def _passes(session: pytest.Session, item: pytest.Item) -> bool:
    _forget()
    failed = session.testsfailed
    session.shouldfail = session.shouldstop = False
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
    return session.testsfailed == failed


def _forget() -> None:
    """Empty the program's memories: what an earlier test was answered must not answer for a fault."""
    for name, module in list(sys.modules.items()):
        if name.startswith("planner."):
            for value in list(vars(module).values()):
                if isinstance(value, _lru_cache_wrapper):
                    value.cache_clear()


def _tried(
    session: pytest.Session, tests: list[tuple[pytest.Item, float]], swapper: Swapper, fault: Fault | None
) -> tuple[int, pytest.Item | None]:
    """Return what becomes of a fault, None for no fault at all, and the test that noticed it."""
    shared = mmap.mmap(-1, 8)
    shared.write((-1).to_bytes(8, "big", signed=True))

    def work() -> int:
        if fault is not None:
            try:
                swapper.put_in(fault.source)
            except CannotSwapError:
                return _NOT_TRIED
        for number, (item, took_s) in enumerate(tests):
            shared[:] = number.to_bytes(8, "big", signed=True)
            signal.setitimer(signal.ITIMER_PROF, _SPARE_CPU_S + 5 * took_s)  # ends the process
            if not _passes(session, item):
                return _NOTICED
        return _SURVIVED

    outcome = _split_off(work, _SPARE_S + 5 * sum(took for _, took in tests))
    number = int.from_bytes(shared[:], "big", signed=True)
    shared.close()
    return outcome, tests[number][0] if outcome in {_NOTICED, _HUNG} and number >= 0 else None


def _split_off(work: Callable[[], int], longest_s: float) -> int:
    """Return what some work in a process of its own returns; if it takes too long, hung."""
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
            return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else _HUNG
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return _HUNG


@contextlib.contextmanager
def _silenced() -> Iterator[None]:
    kept = [os.dup(stream) for stream in (1, 2)]
    _silence()
    try:
        yield
    finally:
        for stream, old in zip((1, 2), kept, strict=True):
            os.dup2(old, stream)
            os.close(old)


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
