"""The JSON Schema of a sequence file, for editors: made from what device types and requirement kinds declare.

An editor that knows it completes names and marks misspelt ones while they are typed. It cannot look up a name
or check a unit's dimension; `read_sequence` does. A variant (a file with `base`) may leave out anything and
delete with null.

Source: JSON Schema draft 2020-12.
"""

from __future__ import annotations

from typing import Any

from seqcheck.language.field import Field, FieldKind
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.reader.actions import PLAIN_QUALIFIERS, TIMED_QUALIFIERS
from seqcheck.reader.alarm_charts import FIRST_OUT_KEY, FIRST_OUT_KEYS
from seqcheck.reader.alarms import ALARM_KEYS, FLAG_KEYS, REQUIRED_KEYS
from seqcheck.reader.charts import ANY_STEP_PATTERN
from seqcheck.reader.circuits import CIRCUIT_KEYS
from seqcheck.reader.copy_parameter import COPIES_KEY, VALUE_PATTERN
from seqcheck.reader.devices import COMMON_KEYS as DEVICE_KEYS
from seqcheck.reader.filled_text import PLACEHOLDER_PATTERN
from seqcheck.reader.machine_data import SECTIONS, MachineField
from seqcheck.reader.modes import IN_MODE, MODES_KEY
from seqcheck.reader.plain_value import NAME_PATTERN
from seqcheck.reader.requirement_list import COMMON_KEYS as REQUIREMENT_KEYS
from seqcheck.reader.requirement_list import SEVERITIES, START_ANYWHERE
from seqcheck.reader.safety_functions import SAFETY_FIELDS
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS
from seqcheck.requirements.rule_catalogue import RULE_SETS

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_NUMBER = r"[0-9]+(\.[0-9]+)?"
_NAME_IN_COPIES = rf"([A-Za-z]|{PLACEHOLDER_PATTERN})([A-Za-z0-9_]|{PLACEHOLDER_PATTERN})*"
"""A name, in which a parameter of copies may stand."""

_NAME: Schema = {"type": "string", "pattern": f"^{_NAME_IN_COPIES}$"}
_TEXT: Schema = {"type": ["string", "number", "boolean"]}
_TIME: Schema = {"type": "string", "pattern": rf"^({_NUMBER} *[a-zµμ]+|{PLACEHOLDER_PATTERN})$"}
_TIMES: Schema = {
    "type": "string",
    "pattern": rf"^({_NUMBER} *[a-zµμ]*( *\.\. *{_NUMBER} *[a-zµμ]+)?|{PLACEHOLDER_PATTERN})$",
}
_CONDITION: Schema = {"type": ["string", "boolean"]}
_QUANTITY: Schema = {"type": ["string", "number"]}
_TRUTH: Schema = {"type": "boolean"}


def _list_or_one(item: Schema) -> Schema:
    return {"anyOf": [item, {"type": "array", "items": item, "minItems": 1}]}


def _closed(properties: dict[str, Schema], required: tuple[str, ...] = ()) -> Schema:
    """Return the schema of a map that has these names and no others."""
    schema: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return schema | ({"required": list(required)} if required else {})


def _named(item: Schema) -> Schema:
    """Return the schema of a map from new names to `item`."""
    return {"type": "object", "propertyNames": {"pattern": f"^{_NAME_IN_COPIES}$"}, "additionalProperties": item}


def _described(schema: Schema, meaning: str) -> Schema:
    return schema | {"description": meaning}


_SIGNAL: Schema = {"anyOf": [_NAME, _closed({"name": _NAME, "delay": _TIMES}, ("name",))]}
_MOVE: Schema = _closed({"when": _CONDITION, "after": _TIMES, "act": _NAME, "failure": _NAME})
_STATE: Schema = _closed(
    {
        "initial": _TRUTH,
        "facts": _list_or_one(_TEXT),
        "signals": _list_or_one(_SIGNAL),
        "next": _named(_list_or_one({"anyOf": [_CONDITION, _MOVE]})),
    }
)
_ACT: Schema = {
    "anyOf": [
        {"type": "string", "pattern": " within "},
        _closed({"device": _NAME, "act": _NAME, "within": _TIMES}, ("device", "act", "within")),
    ]
}

_DELETED: Schema = {"type": "object", "maxProperties": 1, "additionalProperties": {"type": "null"}}
"""`{R3: null}` in a variant: the base's requirement R3 is not wanted."""

_BY_KIND: dict[FieldKind, Schema] = {
    FieldKind.TIME_RANGE: _TIMES,
    FieldKind.TIME: _TIME,
    FieldKind.OUTPUT: _NAME,
    FieldKind.SIGNAL: _SIGNAL,
    FieldKind.CONDITION: _CONDITION,
    FieldKind.CONDITIONS: _list_or_one(_CONDITION),
    FieldKind.ENERGY: _NAME,
    FieldKind.RATIO: _QUANTITY,
    FieldKind.LENGTH: _QUANTITY,
    FieldKind.LENGTH_RANGE: _QUANTITY,
    FieldKind.NUMBER: {"type": ["number", "string"]},
    FieldKind.YEARS: {"type": "string", "pattern": rf"^{_NUMBER} *years?$"},
    FieldKind.COUNTS: _QUANTITY,
    FieldKind.COUNTS_PER_LENGTH: _QUANTITY,
    FieldKind.FORCE: _QUANTITY,
    FieldKind.SPEED: _QUANTITY,
    FieldKind.TEXT: _TEXT,
    FieldKind.NAME: {"type": "string"},
    FieldKind.NAMES: _list_or_one({"type": "string"}),
    FieldKind.OUTPUTS: _list_or_one({"type": "string"}),
    FieldKind.STATES: _named(_STATE),
    FieldKind.POSITIONS: _named(_SIGNAL),
    FieldKind.ACTS: _list_or_one(_ACT),
}


def json_schema() -> Schema:
    """Return the schema of a sequence file as JSON Schema 2020-12."""
    return {
        "$schema": DIALECT,
        "title": "Sequence file of seqcheck",
        "description": "The control sequence of a web splicer, the machine it drives, and what must hold.",
        "if": {"type": "object", "required": ["base"]},
        "then": _variant(_document(is_variant=True)),
        "else": _document(),
    }


def _document(*, is_variant: bool = False) -> Schema:
    sections = {name: _section(fields) for name, fields in SECTIONS.items()}
    requirements = [*_requirement_kinds(), *([_DELETED] if is_variant else [])]
    properties: dict[str, Schema] = {
        "sequence": _described(_TEXT, "the name of the sequence"),
        "revision": _described(_TEXT, "the revision of this file"),
        "note": _described(_TEXT, "anything a reader should know"),
        "base": _described({"type": "string"}, "the file that this one varies, relative to this file"),
        COPIES_KEY: _described(_copies(), "parameters, each with the copies that it stands for"),
        **sections,
        "devices": _described(_named(_device()), "the parts of the machine"),
        "circuits": _described(_named(_circuit()), "safety circuits outside the controller"),
        MODES_KEY: _described(_named(_CONDITION), "modes of operation, each a condition"),
        "flags": _described(_list_or_one(_flag()), "internal variables of the controller"),
        "alarms": _described(_named(_alarm()), "what the operator is told"),
        FIRST_OUT_KEY: _described(_first_out(), "which alarm came first"),
        "charts": _described(_named(_chart()), "state machines, run in this order at every read"),
        "requirements": _described({"type": "array", "items": {"anyOf": requirements}}, "what must hold"),
        "rules": _described(_rules(), "rule sets of standards that become requirements of their own"),
        "safety_functions": _described(
            _named(_fields(SAFETY_FIELDS, {})), "safety functions, for distances, guard locking, stops and levels"
        ),
    }
    return _closed(properties, ("sequence", "scan", "charts"))


def _copies() -> Schema:
    value: Schema = {"type": ["string", "integer"], "pattern": f"^{VALUE_PATTERN}$"}
    own = {"type": "object", "minProperties": 2, "propertyNames": {"pattern": f"^{VALUE_PATTERN}$"}}
    details: Schema = {"type": "object", "propertyNames": {"pattern": f"^{NAME_PATTERN}$"}, "additionalProperties": _TEXT}
    listed: Schema = {"type": "array", "items": value, "minItems": 2}
    return {
        "type": "object",
        "propertyNames": {"pattern": f"^{NAME_PATTERN}$"},
        "additionalProperties": {"anyOf": [listed, own | {"additionalProperties": details}]},
    }


def _rules() -> Schema:
    """Return the schema of `rules`: names of sets, or maps from a name to what the set asks for."""
    called = {name: _described(_TEXT, rules.asks_for or rules.meaning) for name, rules in RULE_SETS.items()}
    plain = [name for name, rules in RULE_SETS.items() if not rules.asks_for]
    return {"type": "array", "items": {"anyOf": [{"enum": plain}, _closed(called) | {"maxProperties": 1, "minProperties": 1}]}}


def _section(fields: dict[str, MachineField]) -> Schema:
    required = tuple(name for name, field in fields.items() if field.required)
    return _closed({name: _machine_field(field) for name, field in fields.items()}, required)


def _machine_field(field: MachineField) -> Schema:
    if field.members:
        return _described(
            _closed({name: _machine_field(member) for name, member in field.members}), field.meaning
        )
    forms: dict[str, Schema] = {"quantity": _QUANTITY, "count": {"type": "integer", "minimum": 1}}
    schema = _described(forms.get(field.form, _TIMES), field.meaning)
    return schema if field.dimension is None else schema | {"examples": [field.dimension.example]}


def _field(field: Field) -> Schema:
    match field.kind:
        case FieldKind.WORD:
            return _described({"enum": list(field.choices)}, field.meaning)
        case FieldKind.GROUP:
            return _described(_fields(field.members, {}), field.meaning)
        case _:
            return _described(_BY_KIND[field.kind], field.meaning)


def _fields(fields: tuple[Field, ...], others: dict[str, Schema], required: tuple[str, ...] = ()) -> Schema:
    properties = others | {field.name: _field(field) for field in fields}
    needed = dict.fromkeys((*required, *(field.name for field in fields if field.required)))
    return _closed(properties, tuple(needed))


def _device() -> Schema:
    """Return the schema of a device: which fields it has is decided by its `type`."""
    without = _closed({"failures": _list_or_one(_TEXT), "because": _TEXT}, ("failures", "because"))
    common: dict[str, Schema] = {
        "hazard": _described(_TEXT, "what it can do to a person, e.g. cut"),
        "without": _described(without, "failures that are excluded, and why"),
        "intermittent": _described(_list_or_one(_TEXT), "failures that come and go"),
    }
    assert {*common, "type"} == {*DEVICE_KEYS}, "every common key of a device is described"
    cases = []
    for name, device_type in DEVICE_TYPES.items():
        kind = _described({"const": name}, device_type.meaning)
        condition = {"properties": {"type": {"const": name}}, "required": ["type"]}
        cases.append({"if": condition, "then": _fields(device_type.fields, common | {"type": kind})})
    return {
        "type": "object",
        "properties": {"type": {"enum": list(DEVICE_TYPES)}},
        "required": ["type"],
        "allOf": cases,
    }


def _circuit() -> Schema:
    properties: dict[str, Schema] = {
        "channels": _described(_list_or_one(_CONDITION), "one or two conditions that hold it on"),
        "drop": _described(_TIMES, "from a lost channel to energy off"),
        "discrepancy": _described(_TIME, "channels that differ longer lock it off"),
        "reset": _described(_CONDITION, "what must rise before energy returns"),
        "signal": _described(_NAME, "input that is on while energy is"),
    }
    assert tuple(properties) == CIRCUIT_KEYS, "every field of a circuit is described"
    return _closed(properties, ("channels", "drop"))


def _alarm() -> Schema:
    properties: dict[str, Schema] = {
        "text": _described(_TEXT, "the sentence that the operator reads"),
        "clear": _described(_CONDITION, "the alarm is kept until this holds"),
        "acknowledge": _described(_CONDITION, "what tells that somebody has seen it"),
    }
    assert tuple(properties) == ALARM_KEYS, "every field of an alarm is described"
    return _closed(properties, REQUIRED_KEYS)


def _flag() -> Schema:
    properties: dict[str, Schema] = {
        "name": _NAME,
        "retained": _described(_TRUTH, "whether it is kept without power"),
    }
    assert tuple(properties) == FLAG_KEYS, "every field of a flag is described"
    return {"anyOf": [_NAME, _closed(properties, ("name",))]}


def _first_out() -> Schema:
    properties: dict[str, Schema] = {
        "reset": _described(_CONDITION, "forgets the first alarm once it is gone"),
        "alarms": _described(_list_or_one({"type": "string"}), "the alarms among which it is; all if not given"),
    }
    assert tuple(properties) == FIRST_OUT_KEYS, "every field of first_out is described"
    return _closed(properties, ("reset",))


def _chart() -> Schema:
    ways = _closed({"next": _ways()}, ("next",))
    return {
        "type": "object",
        "patternProperties": {f"^{ANY_STEP_PATTERN.replace('?P<excepted>', '')}$": ways},
        "propertyNames": {"pattern": f"^({_NAME_IN_COPIES}|any step( but .+)?)$"},
        "additionalProperties": _step(),
    }


def _step() -> Schema:
    return _closed(
        {
            "initial": _described(_TRUTH, "the chart starts in this step"),
            "do": _described(_actions(), "outputs, flags and alarms that the step writes"),
            "within": _described(_TIME, "longest stay in the step"),
            "alarm": _described(_NAME, "alarm raised when the stay is too long"),
            "prompt": _described(_TEXT, "what the operator is asked to do"),
            "retained": _described(_TRUTH, "a controller that comes back on goes on in this step"),
            "next": _ways(),
        }
    ) | {"dependentRequired": {"within": ["alarm"], "alarm": ["within"]}}


def _actions() -> Schema:
    plain, timed = "|".join(PLAIN_QUALIFIERS), "|".join(TIMED_QUALIFIERS)
    qualifier: Schema = {"type": "string", "pattern": rf"^(({plain})|({timed}) +\S.*)$"}
    return _list_or_one({"anyOf": [_NAME, _named(qualifier)]})


def _ways() -> Schema:
    way = _closed({"to": _NAME, "if": _CONDITION}, ("to", "if"))
    schema: Schema = {"anyOf": [_named(_CONDITION), {"type": "array", "items": way}]}
    return _described(schema, "target: condition in order of priority")


def _requirement_kinds() -> list[Schema]:
    common: dict[str, Schema] = {
        "id": _described(_TEXT, "the id, each once"),
        "text": _described(_TEXT, "the requirement as a sentence"),
        "severity": _described({"enum": list(SEVERITIES)}, "safety if not given"),
        "under": _described({"type": "string"}, "the faults it must hold under; no fault if not given"),
        "given": _described(_list_or_one({"type": "string"}), "what operators and surroundings do not do"),
        "start": _described({"const": START_ANYWHERE}, "power-up with every device in any position"),
        "clause": _described(_TEXT, "the clause of a standard behind it"),
        IN_MODE: _described(_list_or_one({"type": "string"}), "modes in which it must hold; all if not given"),
    }
    assert tuple(common) == REQUIREMENT_KEYS, "every common key of a requirement is described"
    kinds: list[Schema] = []
    for kind in REQUIREMENT_KINDS.values():
        required = ("id", kind.fields[0].name, *(("given",) if kind.needs_given else ()))
        kinds.append(_described(_fields(kind.fields, common, required), kind.meaning))
    return kinds


def _variant(schema: Any) -> Any:
    """Return the schema with nothing required and null allowed wherever a map names a value."""
    if isinstance(schema, list):
        return [_variant(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    loosened = {
        key: _variant(value) for key, value in schema.items() if key not in ("required", "dependentRequired")
    }
    if "if" in schema:
        loosened["if"] = schema["if"]  # which type a device has still decides its fields
    for key in ("properties", "patternProperties"):
        loosened |= (
            {key: {name: _or_null(value) for name, value in loosened[key].items()}} if key in loosened else {}
        )
    if isinstance(loosened.get("additionalProperties"), dict):
        loosened["additionalProperties"] = _or_null(loosened["additionalProperties"])
    return loosened


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}
