"""A scenario as the text of a file: YAML, one line for each thing that happens."""

from __future__ import annotations

import json
from collections.abc import Iterator

from seqcheck.quantities.time import format_time
from seqcheck.simulate.scenario import Found, Listed, Scenario, Times

HEAD = "# A run of a sequence, to be run again: seqcheck simulate SEQUENCE.yaml --scenario THIS_FILE"


def scenario_text(scenario: Scenario, sequence_file: str) -> str:
    """The text; the same scenario gives the same text."""
    return "".join(f"{line}\n" for line in _lines(scenario, sequence_file))


def _lines(scenario: Scenario, sequence_file: str) -> Iterator[str]:
    yield HEAD
    yield f"scenario: {quoted(scenario.title)}"
    yield f"sequence: {quoted(sequence_file)}"
    if scenario.requirements:
        yield f"requirements: [{', '.join(quoted(name) for name in scenario.requirements)}]"
    yield f"times: {scenario.times.value}"
    if scenario.times is Times.RANDOM:
        yield f"seed: {scenario.seed}"
    yield f"until: {format_time(scenario.until_us)}"
    if scenario.found is not None:
        yield f"found: {_found(scenario.found)}"
    yield "happens:" if scenario.listed else "happens: []"
    yield from (f"  - {_listed(item)}" for item in scenario.listed)
    if scenario.reads_us:
        yield "# reads that change nothing"
        yield "reads:"
        yield from (f"  - {_reads(*part)}" for part in progressions(scenario.reads_us))


def quoted(text: str) -> str:
    """A text in double quotes, which YAML reads as JSON does."""
    return json.dumps(text, ensure_ascii=False)


def _listed(item: Listed) -> str:
    parts = [f"at: {format_time(item.time_us)}", f"{item.kind.value}: {quoted(item.what)}"]
    if item.failures:
        parts.append(f"with: [{', '.join(quoted(name) for name in item.failures)}]")
    if item.outcome:
        parts.append(f"outcome: {item.outcome}")
    return f"{{{', '.join(parts)}}}"


def _found(found: Found) -> str:
    parts = [f"devices: {_pairs(found.devices)}"]
    if found.steps:
        parts.append(f"steps: {_pairs(found.steps)}")
    if found.flags:
        parts.append(f"flags: [{', '.join(quoted(name) for name in found.flags)}]")
    if found.outcome:
        parts.append(f"outcome: {found.outcome}")
    return f"{{{', '.join(parts)}}}"


def _pairs(pairs: tuple[tuple[str, str], ...]) -> str:
    return f"{{{', '.join(f'{quoted(name)}: {quoted(value)}' for name, value in pairs)}}}"


def _reads(first_us: int, every_us: int, count: int) -> str:
    if count == 1:
        return f"{{from: {format_time(first_us)}}}"
    return f"{{from: {format_time(first_us)}, every: {format_time(every_us)}, count: {count}}}"


def progressions(times_us: tuple[int, ...]) -> Iterator[tuple[int, int, int]]:
    """Rising times as evenly spaced stretches: first, spacing, how many."""
    at = 0
    while at < len(times_us):
        end = at + 1
        every_us = times_us[end] - times_us[at] if end < len(times_us) else 0
        while end < len(times_us) and times_us[end] - times_us[end - 1] == every_us:
            end += 1
        yield times_us[at], every_us, end - at
        at = end
