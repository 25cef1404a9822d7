"""Reads a sequence file: text to a checked `Sequence`, or every problem of the file in one error.

The order: join the file with its bases; read every section without looking up a name; declare all names; look
up every name and condition; ask each requirement whether the file has the data that it needs. A mistake in
one section does not keep the others from being read; only the last question needs a file without mistakes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from seqcheck.errors import Place, Problem, SequenceFileError
from seqcheck.language.document import MapNode, load_document, read_document
from seqcheck.language.sequence import Alarm, Chart, Circuit, Flag, MachineData, Scan, Sequence
from seqcheck.reader.alarm_charts import FIRST_OUT_KEY, alarm_charts, read_first_out
from seqcheck.reader.alarms import read_alarms, read_flags
from seqcheck.reader.charts import read_charts
from seqcheck.reader.circuits import read_circuits
from seqcheck.reader.copies import written_out
from seqcheck.reader.copy_parameter import COPIES_KEY
from seqcheck.reader.declarations import (
    declare_behaviour,
    declare_circuit,
    declare_controller,
    declare_device,
)
from seqcheck.reader.devices import DeviceRead, read_devices, texts_in
from seqcheck.reader.lookup import (
    check_requirement_data,
    looked_up_alarm,
    looked_up_chart,
    looked_up_circuit,
    looked_up_device,
    looked_up_requirement,
)
from seqcheck.reader.machine_data import SECTIONS, read_machine_data, read_scan
from seqcheck.reader.modes import MODES_KEY, in_its_modes, read_modes
from seqcheck.reader.names import Names
from seqcheck.reader.plain_value import check_keys, read_text
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.requirement_list import read_requirements
from seqcheck.reader.rules import expanded, read_rules
from seqcheck.reader.safety_functions import check_safety_functions, read_safety_functions
from seqcheck.reader.scope import Audience, Scope
from seqcheck.reader.variants import BASE_KEY, LoadFile, joined_with_bases

TOP_KEYS = (
    "sequence",
    "revision",
    "note",
    BASE_KEY,
    COPIES_KEY,
    *SECTIONS,
    "devices",
    "circuits",
    MODES_KEY,
    "flags",
    "alarms",
    FIRST_OUT_KEY,
    "charts",
    "requirements",
    "rules",
    "safety_functions",
)
"""The sections of a file in their usual order."""

LoadBase = Callable[[str], tuple[str, str]]
"""From the path of a base, as seen from where the first file's path starts, to its text and its file name."""


def read_sequence(path: Path | str) -> Sequence:
    """Read and check the sequence file at `path`, with its bases.

    Raises SequenceFileError with every problem found in it and its bases.
    """
    return _read(load_document(Path(path)), str(path), _load_from_disk)


def read_sequence_text(text: str, file: str, load_base: LoadBase | None = None) -> Sequence:
    """Read and check a sequence file's text; `file` is the name that places carry.

    `load_base` gives the text and name of a base; it may raise OSError or LookupError where there is none.
    None: a file with a base is a problem.

    Raises SequenceFileError with every problem found in it and its bases.
    """

    def load(base: str, place: Place) -> MapNode:
        if load_base is None:
            raise _no_base(place, "no base in a text that stands alone", base)
        try:
            return read_document(*load_base(base))
        except (OSError, LookupError):
            raise _no_base(place, "a readable base", base) from None

    return _read(read_document(text, file), file, load)


def _load_from_disk(base: str, place: Place) -> MapNode:
    if not Path(base).is_file():
        raise _no_base(place, "the path of a file", base)
    return load_document(Path(base))


def _no_base(place: Place, expected: str, base: str) -> SequenceFileError:
    return SequenceFileError([Problem(place=place, expected=expected, found=repr(base))])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """Everything but the requirements, read but not looked up."""

    scan: Scan
    machine: MachineData
    devices: tuple[DeviceRead, ...]
    circuits: tuple[Circuit, ...]
    flags: tuple[Flag, ...]
    alarms: tuple[Alarm, ...]
    charts: tuple[Chart, ...]
    step_flags: dict[str, str]


def _read(document: MapNode, file: str, load: LoadFile) -> Sequence:
    log = ProblemLog()
    joined = joined_with_bases(document, file, load, log)
    check_keys(joined.document, TOP_KEYS, "a section of a sequence file", log)
    copied = written_out(joined.document, log)
    document = copied.document
    parts = _parts(document, log)
    names = _names(parts, document, log)
    sequence = _sequence(document, file, parts, names, log)
    calls = read_rules(document.get("rules"), Scope(names, Audience.REQUIREMENT, log))
    log.raise_if_any()
    sequence = replace(sequence, requirements=(*sequence.requirements, *expanded(calls, sequence, log)))
    check_safety_functions(sequence.safety_functions, sequence.requirements, names, log)
    check_requirement_data(sequence, log)
    log.raise_if_any()
    return replace(sequence, base_file=joined.base_file, copies=copied.copies)


def _parts(document: MapNode, log: ProblemLog) -> _Parts:
    if document.get("charts") is None:
        log.note(document.place, "'charts' with at least one chart", "nothing")
    alarms = read_alarms(document.get("alarms"), log)
    of_alarms = alarm_charts(alarms, read_first_out(document.get(FIRST_OUT_KEY), log), log)
    return _Parts(
        scan=read_scan(document, log),
        machine=read_machine_data(document, log),
        devices=read_devices(document.get("devices"), log),
        circuits=read_circuits(document.get("circuits"), log),
        flags=read_flags(document.get("flags"), log),
        alarms=alarms,
        charts=(*read_charts(document.get("charts"), log), *of_alarms.charts),
        step_flags=of_alarms.flags,
    )


def _names(parts: _Parts, document: MapNode, log: ProblemLog) -> Names:
    names = Names(doubtful=_texts_in_unknown_sections(document), step_flags=parts.step_flags)
    for device in parts.devices:
        declare_device(device, names, log)
    for circuit in parts.circuits:
        declare_circuit(circuit, names, log)
    for device in parts.devices:
        declare_behaviour(device, parts.machine, names, log)
    declare_controller(parts.flags, parts.alarms, parts.charts, names, log)
    return names


def _texts_in_unknown_sections(document: MapNode) -> set[str]:
    """Return what may be names: under `device:` for `devices:` everything would else be unknown."""
    unknown = [section for key, section in document.entries if key.text not in TOP_KEYS]
    return {text for section in unknown for text in texts_in(section)}


def _sequence(document: MapNode, file: str, parts: _Parts, names: Names, log: ProblemLog) -> Sequence:
    controller = Scope(names, Audience.CONTROLLER, log)
    wiring = Scope(names, Audience.WIRING, log)
    requirement_scope = Scope(names, Audience.REQUIREMENT, log)
    modes = read_modes(document.get(MODES_KEY), requirement_scope)
    read = read_requirements(document.get("requirements"), names, log)
    return Sequence(
        name=_name(document, log),
        file=file,
        revision=_text(document, "revision", log) or "",
        scan=parts.scan,
        machine=parts.machine,
        devices=tuple(looked_up_device(device, wiring) for device in parts.devices),
        circuits=tuple(looked_up_circuit(circuit, wiring) for circuit in parts.circuits),
        flags=parts.flags,
        alarms=tuple(looked_up_alarm(alarm, controller) for alarm in parts.alarms),
        charts=tuple(looked_up_chart(chart, controller) for chart in parts.charts),
        requirements=tuple(
            in_its_modes(looked_up_requirement(item.requirement, requirement_scope), item.modes, modes, log) for item in read
        ),
        note=_text(document, "note", log),
        safety_functions=read_safety_functions(document.get("safety_functions"), log),
        modes=modes,
    )


def _name(document: MapNode, log: ProblemLog) -> str:
    if document.get("sequence") is None:
        log.note(document.place, "'sequence' with the name of the sequence", "nothing")
    return _text(document, "sequence", log) or ""


def _text(document: MapNode, name: str, log: ProblemLog) -> str | None:
    node = document.get(name)
    return None if node is None else read_text(node, f"a text for {name!r}", log)
