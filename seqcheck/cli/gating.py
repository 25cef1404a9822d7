"""Judges a change: reads both revisions, checks what is not remembered, compares, and puts the verdict down."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from seqcheck.cli.caution import caution
from seqcheck.cli.exit_code import ALL_HOLD, BAD_INPUT, BROKEN, UNDECIDED
from seqcheck.cli.gate_drawing import drawing_digests
from seqcheck.cli.gate_request import GateRequest
from seqcheck.cli.gate_text import gate_blocks
from seqcheck.cli.output_file import STANDARD_OUTPUT, refuse_unless_writable, write_output, write_output_bytes
from seqcheck.cli.terminal import say, show
from seqcheck.cli.version import version_text
from seqcheck.errors import UsageError
from seqcheck.gate.annotations import annotation_lines
from seqcheck.gate.base import Base, GitBase, SavedBase
from seqcheck.gate.cache import Cache
from seqcheck.gate.gate_json import gate_json, saved_results
from seqcheck.gate.gate_schema import gate_schema
from seqcheck.gate.junit import junit_text
from seqcheck.gate.markdown import markdown_text
from seqcheck.gate.noted import cases_of_gate, noted_of_gate
from seqcheck.gate.plan import Limits, Planned, Side, plan
from seqcheck.gate.policy import Level, Policy
from seqcheck.gate.policy_file import read_policy
from seqcheck.gate.result import SequenceResult
from seqcheck.gate.revision import Repository, repository_around
from seqcheck.gate.sarif import sarif_text
from seqcheck.gate.scope import Scope, scope_of
from seqcheck.gate.sources import read_from_disk
from seqcheck.gate.spread import local_processes, run_jobs
from seqcheck.gate.verdict import GateVerdict, Pair, judge_changes
from seqcheck.report.caution import CAUTION

USUAL_FOLDER = "sequences"
POLICY_FILE = "pyproject.toml"


def print_schema() -> int:
    """Print the JSON Schema of the gate's JSON; the exit code."""
    write_output(STANDARD_OUTPUT, json.dumps(gate_schema(), indent=2) + "\n")
    return ALL_HOLD


def gate_files(request: GateRequest) -> int:
    """Judge what the request names; the exit code. Raises UsageError where there is nothing to judge or to compare with."""
    for path in request.outputs:
        refuse_unless_writable(path)
    verdict = _verdict(request)
    code = exit_code(verdict)
    _write(request, verdict, code)
    return code


def exit_code(verdict: GateVerdict) -> int:
    """What the program ends with for a verdict."""
    if verdict.is_unreadable:
        return BAD_INPUT
    if not verdict.of_level(Level.BLOCK):
        return ALL_HOLD
    return UNDECIDED if verdict.is_only_undecided else BROKEN


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where names count from, and the repository there, if there is one."""

    root: Path
    repository: Repository | None


def _verdict(request: GateRequest) -> GateVerdict:
    where = _place(request)
    policy_path = request.policy or _usual_policy(where.root)
    policy = Policy() if policy_path is None else read_policy(policy_path)
    scope = _scope(request, where.root, policy)
    base = _base(request, where)
    warnings: list[str] = _policy_warnings(base, policy_path, where.root)
    limits = Limits(
        most_classes=request.most_classes,
        most_seconds=request.most_seconds,
        processes=1,
    )
    planned = plan(scope.on_disk(), read_from_disk(where.root), base.files(scope), limits)
    if not planned:
        raise UsageError(f"nothing to judge: neither here nor in {base.text} is there a file of those named")
    pairs = _pairs(planned, request, warnings)
    unusable = [file for file, old, _ in pairs if old and old.problems]
    warnings.extend(f"{file} of the base cannot be used, so all of it counts as new" for file in unusable)
    return judge_changes(pairs, policy, request.today, base.text, tuple(warnings))


def _place(request: GateRequest) -> _Place:
    here = Path.cwd()
    try:
        repository = repository_around(here)
    except UsageError:
        if request.base_result is None:
            raise
        return _Place(root=here, repository=None)
    return _Place(root=repository.top, repository=repository)


def _usual_policy(root: Path) -> Path | None:
    path = root / POLICY_FILE
    return path if path.is_file() else None


def _scope(request: GateRequest, root: Path, policy: Policy) -> Scope:
    if request.files:
        return scope_of(root, Path.cwd(), request.files)
    return scope_of(root, root, policy.files or (USUAL_FOLDER,))


def _base(request: GateRequest, where: _Place) -> Base:
    if request.base_result is not None:
        return SavedBase(saved_results(_text(request.base_result), str(request.base_result)), str(request.base_result))
    assert where.repository is not None, "without one, only a saved result can be the base"
    repository = where.repository
    if request.base is not None:
        commit = repository.base_commit(request.base)
        return GitBase(repository, commit, f"{request.base} ({commit[:12]})")
    commit = repository.merge_base(request.main)
    return GitBase(repository, commit, f"the merge base {commit[:12]}")


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        raise UsageError(f"cannot read {path}: {getattr(error, 'strerror', None) or 'it is not UTF-8'}") from None


def _policy_warnings(base: Base, policy: Path | None, root: Path) -> list[str]:
    """A change may come with the policy that lets it pass; then somebody should look at both."""
    if not isinstance(base, GitBase) or policy is None or not policy.resolve().is_relative_to(root.resolve()):
        return []
    name = policy.resolve().relative_to(root.resolve()).as_posix()
    try:
        is_same = base.repository.content(base.commit, name) == policy.read_bytes()
    except OSError:
        is_same = False
    return [] if is_same else [f"{name} itself is not what it was in the base; look at the policy too"]


def _pairs(planned: tuple[Planned, ...], request: GateRequest, warnings: list[str]) -> tuple[Pair, ...]:
    sides = [side for part in planned for side in (part.old, part.new) if side is not None]
    jobs = list({job.key(""): job for side in sides if (job := side.job) is not None}.values())
    cache = None if request.cache is None else Cache(request.cache, write_output_bytes)
    unkept: list[str] = []
    with local_processes(request.jobs, len(jobs)) as executor:
        found = run_jobs(jobs, drawing_digests, executor=executor, cache=cache, warn=unkept)
    warnings.extend(f"results are not remembered: {text}" for text in unkept)
    results = {job.key(""): result for job, result in zip(jobs, found, strict=True)}
    return tuple((part.file, _result(part.old, results), _result(part.new, results)) for part in planned)


def _result(side: Side | None, results: dict[str, SequenceResult]) -> SequenceResult | None:
    if side is None:
        return None
    return side.result if side.job is None else results[side.job.key("")]


def _write(request: GateRequest, verdict: GateVerdict, code: int) -> None:
    """Every output that was asked for; all are made before the first is written, and each is written whole or not at all."""
    noted = noted_of_gate(verdict)
    texts: tuple[tuple[Path | None, Callable[[], str]], ...] = (
        (request.junit, lambda: junit_text(cases_of_gate(verdict))),
        (request.sarif, lambda: sarif_text(noted, version_text().partition(" ")[2])),
        (request.markdown, lambda: markdown_text(verdict, CAUTION)),
        (request.json, lambda: gate_json(verdict, code)),
    )
    ready = [(path, text()) for path, text in texts if path is not None]
    for path, text in ready:
        write_output(path, text)
    if STANDARD_OUTPUT not in request.outputs:
        show((*gate_blocks(verdict), *caution()))
    if request.annotations:
        stream = sys.stderr if STANDARD_OUTPUT in request.outputs else sys.stdout
        stream.writelines(f"{line}\n" for line in annotation_lines(noted))
    for text in verdict.warnings:
        say(f"seqcheck: {text}")
