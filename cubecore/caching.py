"""``functools.lru_cache`` for functions whose arguments a type checker shall go on to check."""

from collections.abc import Callable
from functools import lru_cache
from typing import ParamSpec, TypeVar, cast

_P = ParamSpec("_P")
_R = TypeVar("_R")


def typed_cache(maxsize: int | None = None) -> Callable[[Callable[_P, _R]], Callable[_P, _R]]:
    """A decorator that keeps a function's answers, ``maxsize`` of them at most, and its types.

    To a type checker ``lru_cache`` takes any hashable argument, so that turns would pass for a
    last layer.
    """

    def decorate(function: Callable[_P, _R]) -> Callable[_P, _R]:
        return cast("Callable[_P, _R]", lru_cache(maxsize=maxsize)(function))

    return decorate
