"""Put faults into modules, one at a time in a copy, and see which no test notices.

Run from the top of the checkout: ``python -m tests.mutation.run MODULE... --tests TEST... [--faults N]``.
N faults are drawn from all modules, always the same ones. What survives is printed, a line each.
"""

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from itertools import cycle
from pathlib import Path

from tests.mutation.faults import Fault, faults_of

_LONGEST_S = 240
_COPIED = ("planner", "tests", "resources", "demo_missions", "pyproject.toml")


def main() -> None:
    """Read the command line, try the faults, print survivors and the count."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("modules", nargs="+", type=Path)
    reader.add_argument("--tests", nargs="+", required=True)
    reader.add_argument("--faults", type=int, default=100)
    reader.add_argument("--workers", type=int, default=2)
    chosen = reader.parse_args()
    drawn = _drawn(chosen.modules, chosen.faults)
    with tempfile.TemporaryDirectory() as folder:
        copies = [_copy(Path(folder) / str(number)) for number in range(chosen.workers)]
        if not _passes(copies[0], chosen.tests):
            sys.exit("the tests fail without any fault: nothing can be learned")
        groups = [[] for _ in copies]
        for group, entry in zip(cycle(groups), drawn):
            group.append(entry)
        with ThreadPoolExecutor(len(copies)) as pool:
            found = pool.map(lambda pair: _survivors(*pair, chosen.tests), zip(copies, groups, strict=True))
            survivors = [entry for part in found for entry in part]
    for module, fault in sorted(survivors, key=lambda entry: (str(entry[0]), entry[1].line)):
        print(f"{module}:{fault.line}: {fault.before}  ->  {fault.after}")
    print(f"{len(drawn)} faults, {len(drawn) - len(survivors)} noticed, {len(survivors)} survived")


def _drawn(modules: list[Path], count: int) -> list[tuple[Path, Fault]]:
    every = [(module, fault) for module in modules for fault in faults_of(module.read_text("utf-8"))]
    return random.Random(1).sample(every, min(count, len(every)))


def _copy(folder: Path) -> Path:
    folder.mkdir()
    for name in _COPIED:
        copy = shutil.copytree if Path(name).is_dir() else shutil.copy
        copy(name, folder / name)
    return folder


def _survivors(folder: Path, entries: list[tuple[Path, Fault]], tests: list[str]) -> list[tuple[Path, Fault]]:
    left = []
    for module, fault in entries:
        whole = (folder / module).read_text("utf-8")
        (folder / module).write_text(fault.source, "utf-8")
        try:
            if _passes(folder, tests):
                left.append((module, fault))
                print(f"survived: {module}:{fault.line}: {fault.before}  ->  {fault.after}", flush=True)
        finally:
            (folder / module).write_text(whole, "utf-8")
    return left


def _passes(folder: Path, tests: list[str]) -> bool:
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider", *tests]
    world = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(
            command, cwd=folder, env=world, capture_output=True, timeout=_LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


if __name__ == "__main__":
    main()
