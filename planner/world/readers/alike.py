"""What many features of a file say alike is read once."""

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import TypeVar

T = TypeVar("T")

_REMEMBERED = 4096


def read_once(reading: Callable[..., T]) -> Callable[..., T]:
    """Return a function of attributes that remembers what it made of the latest some thousand sets of them.

    A figure, the same figure as text and a yes are kept apart.
    """
    remembering = lru_cache(maxsize=_REMEMBERED, typed=True)(reading)

    @wraps(reading)
    def read(*values: object) -> T:
        try:
            return remembering(*values)
        except TypeError:
            # A list, say, can't be looked up.
            return reading(*values)

    return read
