"""Commands that the guides name: each must be there to be run."""

import ast
import re

import pytest

NAMED = re.compile(r"python -m (tests(?:\.\w+)+)")


def is_program(path):
    """Whether a module does something when it is run."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return any(isinstance(node, ast.If) and "__main__" in ast.unparse(node.test) for node in tree.body)


@pytest.mark.parametrize("guide", ["DEVELOPERS.md", "README.md"])
def test_each_program_of_ours_that_a_guide_names_can_be_run(repo, guide):
    named = set(NAMED.findall((repo / guide).read_text(encoding="utf-8")))
    assert named or guide == "README.md"
    for module in named:
        path = repo / f"{module.replace('.', '/')}.py"
        assert path.is_file(), module
        assert is_program(path), module


def test_each_benchmark_is_a_program_and_says_how_to_run_it(repo):
    benchmarks = sorted((repo / "tests" / "bench").glob("bench_*.py"))
    assert benchmarks
    for path in benchmarks:
        assert is_program(path), path.name
        said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
        assert f"python -m tests.bench.{path.stem}" in said, path.name
