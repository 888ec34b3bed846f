"""The house keeps its own rules: floors, no circles, small files, dependencies that are used and named."""

import ast
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

# The limits that DEVELOPERS.md names.
MOST_LINES_A_FILE = 400
MOST_LINES_A_FUNCTION = 50

# Imported before the modules under test, so that each of these costs its second only once.
HEAVY = (
    "numpy",
    "shapely",
    "pyproj",
    "attrs",
    "cattrs",
    "rasterio",
    "pyogrio",
    "PySide6.QtWebEngineWidgets",
    "pyqtgraph",
    "pyqtlet2",
)

# Reads module names, forks a process that knows nothing of the package for each, names those that fail.
IMPORT_EACH_ALONE = """
import importlib, os, sys, traceback
for name in sys.argv[1].split():
    importlib.import_module(name)
assert not [name for name in sys.modules if name.split(".")[0] == "planner"]

def start(name):
    child = os.fork()
    if child:
        return child
    try:
        importlib.import_module(name)
    except BaseException:
        traceback.print_exc()
        os._exit(1)
    os._exit(0)

waiting, running, failed = sys.stdin.read().split(), {}, []
while waiting or running:
    while waiting and len(running) < os.cpu_count():
        name = waiting.pop()
        running[start(name)] = name
    child, status = os.wait()
    name = running.pop(child)
    if status:
        failed.append(name)
sys.exit("cannot be imported alone: " + " ".join(failed) if failed else 0)
"""


def source_files(repo: Path) -> list[Path]:
    folders = ("planner", "tests", "resources")
    return sorted(path for folder in folders for path in (repo / folder).rglob("*.py"))


def module_names(repo: Path) -> list[str]:
    paths = (path.relative_to(repo).with_suffix("") for path in (repo / "planner").rglob("*.py"))
    names = (".".join(path.parts).removesuffix(".__init__") for path in paths)
    return sorted(name for name in names if not name.endswith("__main__"))


def lines_without_docstring(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    assert function.end_lineno is not None
    lines = function.end_lineno - function.lineno + 1
    if ast.get_docstring(function, clean=False) is not None:
        docstring = function.body[0]
        assert docstring.end_lineno is not None
        lines -= docstring.end_lineno - docstring.lineno + 1
    return lines


def pyproject(repo: Path) -> dict:
    return tomllib.loads((repo / "pyproject.toml").read_text(encoding="utf-8"))


def distribution_key(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_import_contracts_hold(repo):
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as run; run()"]
    done = subprocess.run(
        [*command, "--no-cache", "--no-logo"], cwd=repo, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")
def test_modules_can_be_imported_alone(repo):
    # The contracts forbid circles, so that one in ten is enough to see that nothing else is needed first.
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", IMPORT_EACH_ALONE, " ".join(HEAVY)],
        input="\n".join(module_names(repo)[::10]),
        cwd=repo,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_files_are_small(repo):
    lengths = {
        str(path.relative_to(repo)): len(path.read_text("utf-8").splitlines()) for path in source_files(repo)
    }
    assert {name: length for name, length in lengths.items() if length > MOST_LINES_A_FILE} == {}


def test_functions_are_short(repo):
    long_ones = {
        f"{path.relative_to(repo)}:{node.lineno} {node.name}": lines_without_docstring(node)
        for path in source_files(repo)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and lines_without_docstring(node) > MOST_LINES_A_FUNCTION
    }
    assert long_ones == {}


def test_what_is_imported_is_a_named_dependency(repo):
    project = pyproject(repo)["project"]
    named = [*project["dependencies"], *project["optional-dependencies"]["fast"]]
    declared = {distribution_key(re.match(r"[\w.-]+", line).group()) for line in named}
    distributions = packages_distributions()
    undeclared = set()
    for path in (repo / "planner").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            for top in {name.split(".")[0] for name in names} - sys.stdlib_module_names - {"planner"}:
                keys = {distribution_key(name) for name in distributions.get(top, [top])}
                if not keys & declared_with_parts(declared):
                    undeclared.add(f"{path.relative_to(repo)}: {top}")
    assert undeclared == set()


def declared_with_parts(declared: set[str]) -> set[str]:
    # PySide6 is one name for three wheels of one version; QtPy is what the map's own package speaks through.
    return declared | {"pyside6-essentials", "pyside6-addons", "shiboken6", "qtpy"}


def test_each_dependency_has_its_reason_in_the_developers_guide(repo):
    project = pyproject(repo)["project"]
    listed = [
        *project["dependencies"],
        *(line for extra in project["optional-dependencies"].values() for line in extra),
    ]
    guide = (repo / "DEVELOPERS.md").read_text("utf-8")
    names = {re.match(r"[\w.-]+", line).group() for line in listed}
    assert {name for name in names if f"`{name}`" not in guide} == set()


def shell_blocks(text: str) -> list[str]:
    return re.findall(r"^```sh\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def test_readme_starts_with_two_single_commands(repo):
    opens, tests = shell_blocks((repo / "README.md").read_text("utf-8"))
    assert opens.count("\n") == tests.count("\n") == 1
    assert "lowline demo_missions/" in opens
    assert tests.rstrip().endswith("-m pytest -n 2")
    mission = opens.split()[-1]
    assert (repo / mission).is_file(), mission


def test_wheel_carries_resources_and_demo_missions(repo, tmp_path):
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=repo,
        check=True,
        capture_output=True,
    )
    (wheel,) = tmp_path.glob("*.whl")
    carried = set(zipfile.ZipFile(wheel).namelist())
    for source, shipped in (("resources", "_resources"), ("demo_missions", "_demo_missions")):
        tracked = subprocess.run(
            ["git", "ls-files", source], cwd=repo, capture_output=True, text=True, check=True
        ).stdout.split()
        assert tracked
        assert {f"planner/{shipped}{name.removeprefix(source)}" for name in tracked} - carried == set()
