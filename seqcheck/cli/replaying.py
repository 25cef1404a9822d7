"""Replays a recording, shows what came of it, and suggests or changes ranges where asked."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BROKEN, UNDECIDED
from seqcheck.cli.interventions import time_of
from seqcheck.cli.outcome_json import FORMAT
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output, write_output_bytes
from seqcheck.cli.replay_request import ReplayRequest
from seqcheck.cli.replay_text import replay_blocks
from seqcheck.cli.terminal import say, show
from seqcheck.errors import Place, UsageError
from seqcheck.language.document import decoded_text
from seqcheck.plc.range_plot import range_plot_svg
from seqcheck.plc.range_suggestion import Suggestion, edited, patch, suggestions
from seqcheck.plc.recording_map import ColumnName, RecordingMap
from seqcheck.plc.replay_recording import replay_recording
from seqcheck.plc.replayed import Replayed
from seqcheck.quantities.units import Dimension, parse_quantity
from seqcheck.reader.read import read_sequence

COMMAND_LINE = "--map"


def replay_file(request: ReplayRequest) -> int:
    """Replay as requested; the exit code. Raises UsageError and SequenceFileError."""
    mapping, margin = _mapping(request), _margin(request.margin)
    for path in (request.json, request.svg):
        if path is not None:
            refuse_unless_writable(path)
    sequence = read_sequence(request.file)
    text = decoded_text(request.file.read_bytes(), str(request.file))
    replayed = replay_recording(sequence, request.log, mapping)
    if request.json != STANDARD_OUTPUT:
        show((*replay_blocks(replayed), *caution()))
    _write(request, replayed, sequence.name)
    if request.suggest or request.apply:
        _suggest(request, text, suggestions(text, str(request.file), replayed.measured, margin))
    return _exit_code(replayed)


def _mapping(request: ReplayRequest) -> RecordingMap:
    columns = []
    for number, text in enumerate(request.maps, start=1):
        name, equals, column = text.partition("=")
        if not equals or not name.strip() or not column.strip():
            raise UsageError(f"--map: expected NAME=COLUMN such as 'knife_home=DI 3.2', found {text!r}")
        place = Place(COMMAND_LINE, number, 1)
        columns.append(ColumnName(name=name.strip(), column=column.strip(), place=place))
    return RecordingMap(
        time_column=request.time,
        unit=request.unit,
        form=request.form,
        jitter_us=time_of(request.jitter, "--jitter"),
        columns=tuple(columns),
    )


def _margin(text: str) -> float:
    try:
        margin = parse_quantity(text, Dimension.RATIO)
    except ValueError as error:
        raise UsageError(f"--margin: {error}") from None
    if not 0 <= margin <= 1:
        raise UsageError(f"--margin: expected 0 % to 100 %, found {text}")
    return margin


def _write(request: ReplayRequest, replayed: Replayed, name: str) -> None:
    if request.svg is not None:
        write_output(request.svg, range_plot_svg(replayed, f"{name}: measured times"))
    if request.json is not None:
        write_output(request.json, json.dumps(replay_json(replayed), indent=2) + "\n")


def replay_json(replayed: Replayed) -> dict[str, Any]:
    """The result as JSON values; times in microseconds."""
    values = asdict(replayed)
    for item, part in zip(values["deviations"], replayed.deviations, strict=True):
        item["side"] = part.side.value
    for item, measured in zip(values["measured"], replayed.measured, strict=True):
        item["fit"] = measured.fit.value
    return {"format": FORMAT, "exit_code": _exit_code(replayed), **values}


def _suggest(request: ReplayRequest, text: str, changes: tuple[Suggestion, ...]) -> None:
    if not changes:
        say(f"seqcheck: {request.file}: no range is too narrow or needlessly wide by what was measured")
        return
    if request.json != STANDARD_OUTPUT:
        print(patch(text, str(request.file), changes), end="")
    if request.apply:
        write_output_bytes(request.file, edited(text, changes).encode("utf-8"))
        say(f"seqcheck: {request.file}: {len(changes)} ranges changed")


def _exit_code(replayed: Replayed) -> int:
    if replayed.deviation_count:
        return BROKEN
    return UNDECIDED if replayed.is_uncertain else ALL_HOLD
