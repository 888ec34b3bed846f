"""Every small fault that can be put into a module: one comparison, sum, word or figure changed."""

import ast
import copy
from collections.abc import Iterator

import attrs

_COMPARE = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_BINARY = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}  # fmt: skip
_BOOL = {ast.And: ast.Or, ast.Or: ast.And}
_NAMES = {
    "min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "fmin": "fmax", "fmax": "fmin",
    "any": "all", "all": "any", "argmin": "argmax", "argmax": "argmin",
}  # fmt: skip


@attrs.frozen
class Fault:
    """One fault: where it is, what it was and became, and the module's source with it."""

    line: int
    before: str
    after: str
    source: str


def faults_of(source: str) -> Iterator[Fault]:
    """Yield every fault of a module, in the order of its nodes.

    Annotations and texts are left alone, and `strict` of zip: it guards what always holds.
    """
    tree = ast.parse(source)
    drop_annotations(tree)
    strict = {
        id(node.value) for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg == "strict"
    }
    for number, node in enumerate(ast.walk(tree)):
        for change in () if id(node) in strict else _changes(node):
            twin = copy.deepcopy(tree)
            there = next(found for at, found in enumerate(ast.walk(twin)) if at == number)
            before = ast.unparse(there)
            change(there)
            after = ast.unparse(there)
            if after != before:
                yield Fault(
                    getattr(node, "lineno", 0), before, after, ast.unparse(ast.fix_missing_locations(twin))
                )


def _changes(node):
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in _COMPARE:
        yield lambda there: there.ops.__setitem__(0, _COMPARE[type(there.ops[0])]())
    elif isinstance(node, ast.BinOp) and type(node.op) in _BINARY:
        yield lambda there: setattr(there, "op", _BINARY[type(there.op)]())
    elif isinstance(node, ast.BoolOp):
        yield lambda there: setattr(there, "op", _BOOL[type(there.op)]())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.Invert | ast.USub):
        yield lambda there: setattr(there, "op", ast.UAdd() if isinstance(there.op, ast.USub) else there.op)
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield lambda there: setattr(there, "value", not there.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield lambda there: setattr(there, "value", there.value + 1)
    elif isinstance(node, ast.Attribute) and node.attr in _NAMES:
        yield lambda there: setattr(there, "attr", _NAMES[there.attr])
    elif isinstance(node, ast.Name) and node.id in _NAMES:
        yield lambda there: setattr(there, "id", _NAMES[there.id])


def drop_annotations(tree: ast.AST) -> None:
    """Take annotations out of a tree: a `|` between types is no arithmetic."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            node.returns = None
        elif isinstance(node, ast.arg):
            node.annotation = None
        elif isinstance(node, ast.AnnAssign):
            node.annotation = ast.Name("object", ast.Load())
