"""Frozen dataclasses to plain JSON values and back. What does not fit is refused, never guessed: the text may be anybody's.

The types are read off the dataclass, so there is no second description of the format.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import lru_cache
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

Value = TypeVar("Value")


class NotPlainError(ValueError):
    """A value is not of the form that was promised."""


def to_plain(value: object) -> Any:
    """The value as maps, lists, texts and numbers."""
    if is_dataclass(value):
        return {part.name: to_plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, tuple):
        return [to_plain(part) for part in value]
    return value


def from_plain(kind: type[Value], value: object) -> Value:
    """The dataclass `kind` that `value` describes. Raises NotPlainError if it does not describe one."""
    return cast(Value, _read(kind, value, 0))


DEEPEST = 20
"""Levels; ours have about six."""


def _read(kind: Any, value: object, depth: int) -> object:
    if depth > DEEPEST:
        raise NotPlainError("too deep")
    if is_dataclass(kind):
        return _read_dataclass(kind, value, depth)
    origin = get_origin(kind)
    if origin is tuple:
        return _read_tuple(get_args(kind), value, depth)
    if origin in (Union, UnionType):
        return _read_union(get_args(kind), value, depth)
    return _read_scalar(kind, value)


def _read_dataclass(kind: Any, value: object, depth: int) -> object:
    if not isinstance(value, dict):
        raise NotPlainError(f"expected {kind.__name__}")
    hints = _hints(kind)
    if set(value) - set(hints):
        raise NotPlainError(f"{kind.__name__} has no {sorted(map(str, set(value) - set(hints)))}")
    try:
        return kind(**{name: _read(hints[name], part, depth + 1) for name, part in value.items()})
    except TypeError as error:
        raise NotPlainError(str(error)) from None


def _read_tuple(kinds: tuple[Any, ...], value: object, depth: int) -> object:
    if not isinstance(value, list):
        raise NotPlainError("expected a list")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_read(kinds[0], part, depth + 1) for part in value)
    if len(kinds) != len(value):
        raise NotPlainError(f"expected {len(kinds)} values")
    return tuple(_read(kind, part, depth + 1) for kind, part in zip(kinds, value, strict=True))


def _read_union(kinds: tuple[Any, ...], value: object, depth: int) -> object:
    for kind in kinds:
        try:
            return _read(kind, value, depth + 1)
        except NotPlainError:
            continue
    raise NotPlainError(f"nothing of {kinds} fits")


def _read_scalar(kind: Any, value: object) -> object:
    if kind is NoneType and value is None:
        return None
    if kind is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if kind in (str, bool) and type(value) is kind:
        return value
    if kind is int and type(value) is int:
        return value
    if get_args(kind) and value in get_args(kind):  # a Literal
        return value
    raise NotPlainError(f"expected {kind}, found {type(value).__name__}")


@lru_cache(maxsize=64)
def _hints(kind: Any) -> dict[str, Any]:
    names = {part.name for part in fields(kind)}
    return {name: hint for name, hint in get_type_hints(kind).items() if name in names}
