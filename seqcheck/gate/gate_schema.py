"""The JSON Schema of what `gate_json` writes, made from the dataclasses that it writes."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from seqcheck.errors import Place
from seqcheck.gate.change import ChangeKind
from seqcheck.gate.gate_json import FORMAT, KIND
from seqcheck.gate.policy import Level
from seqcheck.gate.result import KeptLine, SequenceResult

Json = dict[str, Any]
_SCALARS: dict[object, Json] = {
    str: {"type": "string"},
    float: {"type": "number"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    NoneType: {"type": "null"},
}


def gate_schema() -> Json:
    """The schema (JSON Schema 2020-12)."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"What 'seqcheck gate --json' writes, format {FORMAT}",
        **_object(
            kind={"const": KIND},
            format={"const": FORMAT},
            exit_code={"enum": [0, 1, 2, 3]},
            base={"type": "string"},
            changes={"type": "array", "items": _change()},
            unused_waivers={"type": "array", "items": {"type": "string"}},
            warnings={"type": "array", "items": {"type": "string"}},
            results={"type": "array", "items": _of(SequenceResult)},
        ),
    }


def _object(**properties: Json) -> Json:
    return {"type": "object", "properties": properties, "required": list(properties)}


def _change() -> Json:
    text, maybe = {"type": "string"}, {"type": ["string", "null"]}
    waiver = _object(requirement=text, reason=text, approver=text, expires={"type": "string", "format": "date"})
    return _object(
        level={"enum": [level.value for level in Level]},
        kind={"enum": [kind.value for kind in ChangeKind]},
        place=_of(Place),
        requirement=maybe,
        text=text,
        old=maybe,
        new=maybe,
        run={"type": "array", "items": _of(KeptLine)},
        waiver={"anyOf": [waiver, {"type": "null"}]},
    )


def _of(kind: Any) -> Json:
    if kind in _SCALARS:
        return _SCALARS[kind]
    if is_dataclass(kind):
        return _of_dataclass(kind)
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is tuple and arguments[-1] is Ellipsis:
        return {"type": "array", "items": _of(arguments[0])}
    if origin is tuple:
        items = [_of(part) for part in arguments]
        return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
    if origin in (Union, UnionType):
        return {"anyOf": [_of(part) for part in arguments]}
    return {"enum": list(arguments)}  # a Literal


def _of_dataclass(kind: Any) -> Json:
    hints = get_type_hints(kind)
    return _object(**{part.name: _of(hints[part.name]) for part in fields(kind)})
