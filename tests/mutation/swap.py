"""Put a fault into a module already imported: its functions get new code, its constants new values."""

import ast
import gc
import sys
from collections import defaultdict
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

from tests.mutation.faults import drop_annotations


class CannotSwapError(Exception):
    """The fault changes what was settled at import, a default or a table: it takes a fresh process."""


class Swapper:
    """The functions and constants of one imported module."""

    def __init__(self, path: Path) -> None:
        name = ".".join(path.with_suffix("").parts)
        self.module: ModuleType = import_module(name)
        file = self.module.__file__
        self.functions = [
            found
            for found in gc.get_objects()
            if isinstance(found, FunctionType) and found.__code__.co_filename == file
        ]
        self.whole = compile(path.read_text("utf-8"), str(file), "exec")
        plain = ast.parse(path.read_text("utf-8"))
        drop_annotations(plain)
        # What a faulty source is made from: what differs from this differs by the fault.
        self.plain = _by_place(compile(ast.unparse(plain), str(file), "exec"))
        self.codes = [(function, function.__code__) for function in self.functions]

    def restore(self) -> None:
        """Give the functions their own code back."""
        for function, code in self.codes:
            function.__code__ = code

    def put_in(self, source: str) -> None:
        """Give the module the code of a faulty source; of constants only the process's end undoes it."""
        faulty = compile(source, self.whole.co_filename, "exec")
        new = _by_place(faulty)
        changed = 0
        for function, place in self._places():
            if place in new and _differs(self.plain[place], new[place]):
                function.__code__ = new[place]
                changed += 1
        if not changed and self.functions_differ(faulty):
            raise CannotSwapError
        if not changed:
            self._constants(faulty)

    def functions_differ(self, faulty: CodeType) -> bool:
        """Whether a function is at fault that could not be found: it was made anew at import."""
        old, new = self.plain, _by_place(faulty)
        return any(
            "<" not in place[0] and place in new and _differs(code, new[place]) and code.co_flags & 1
            for place, code in old.items()
        )

    def _places(self) -> Iterator[tuple[FunctionType, tuple[str, int]]]:
        of_code = {_key(code): place for place, code in _by_place(self.whole).items()}
        for function in self.functions:
            place = of_code.get(_key(function.__code__))
            if place is not None:
                yield function, place

    def _constants(self, faulty: CodeType) -> None:
        fresh: dict[str, object] = {"__name__": self.module.__name__, "__file__": self.whole.co_filename}
        try:
            exec(faulty, fresh)
        except Exception as error:
            raise CannotSwapError from error
        found = False
        for name, old in list(vars(self.module).items()):
            if name.startswith("__") or name not in fresh or not _shown_differently(old, fresh[name]):
                continue
            found = True
            if isinstance(old, dict):
                old.clear()
                old.update(fresh[name])
                continue
            for other in list(sys.modules.values()):
                if vars(other).get(name) is old:
                    setattr(other, name, fresh[name])
        if not self._defaults(fresh) and not found:
            raise CannotSwapError

    def _defaults(self, fresh: dict[str, object]) -> bool:
        """Give functions, and the makers of classes, the defaults that they have in a faulty module."""
        found = False
        for owner, twin in _owners(vars(self.module), fresh):
            for name, old in list(vars(owner).items() if isinstance(owner, type) else [("", owner)]):
                new = vars(twin).get(name) if isinstance(twin, type) else twin
                if (
                    isinstance(old, FunctionType)
                    and isinstance(new, FunctionType)
                    and _other_default(old, new)
                ):
                    old.__defaults__, old.__kwdefaults__ = new.__defaults__, new.__kwdefaults__
                    found = True
        return found


def _owners(old: dict[str, object], new: dict[str, object]) -> Iterator[tuple[object, object]]:
    for name, one in old.items():
        if isinstance(one, FunctionType | type) and type(new.get(name)) is type(one):
            yield one, new[name]


def _other_default(old: FunctionType, new: FunctionType) -> bool:
    one, other = (repr((function.__defaults__, function.__kwdefaults__)) for function in (old, new))
    return one != other and " at 0x" not in one


def _shown_differently(old: object, new: object) -> bool:
    """Whether two values of a module differ in what they show; functions and classes never do."""
    if isinstance(old, FunctionType | type | ModuleType):
        return False
    return repr(old) != repr(new) and " at 0x" not in repr(old)


def _by_place(code: CodeType) -> dict[tuple[str, int], CodeType]:
    """Return code objects by qualified name and by how many of that name came before."""
    found, seen = {}, defaultdict(int)
    for inner in _every(code):
        found[inner.co_qualname, seen[inner.co_qualname]] = inner
        seen[inner.co_qualname] += 1
    return found


def _every(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _every(constant)


def _key(code: CodeType) -> tuple[str, int, bytes]:
    return code.co_qualname, code.co_firstlineno, code.co_code


def _differs(old: CodeType, new: CodeType) -> bool:
    if old.co_code != new.co_code or old.co_names != new.co_names or len(old.co_consts) != len(new.co_consts):
        return True
    return any(
        _differs(one, other)
        if isinstance(one, CodeType) and isinstance(other, CodeType)
        else repr(one) != repr(other)
        for one, other in zip(old.co_consts, new.co_consts, strict=True)
    )
