"""Modes of operation: what each is, as a condition, and requirements that hold in some of them only.

    modes: {automatic: in_automatic, jog: in_jog AND NOT in_automatic}
    requirements:
      - {id: R1, never: knife.is_moving AND hood.is_open, in mode: [automatic, manual]}

A requirement in a mode becomes one whose condition has the mode in it; whatever judges or shows it needs no rule for modes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from seqcheck.language.document import Node, Scalar
from seqcheck.language.expression import And, Constant, Expression, Not, Or
from seqcheck.language.mode import Mode
from seqcheck.language.sequence import Entry, Requirement
from seqcheck.reader.condition import read_condition
from seqcheck.reader.limits import MOST_MODES
from seqcheck.reader.plain_value import check_count, read_map, read_name
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.scope import Scope

MODES_KEY = "modes"
IN_MODE = "in mode"


def read_modes(node: Node | None, scope: Scope) -> tuple[Mode, ...]:
    """Return the modes in the order of the file, their conditions looked up."""
    section = None if node is None else read_map(node, "a map of modes, e.g. {automatic: in_automatic}", scope.log)
    if section is None:
        return ()
    check_count(section.place, len(section.entries), MOST_MODES, "modes", scope.log)
    read = [_mode(key, value, scope) for key, value in section.entries[:MOST_MODES]]
    return tuple(mode for mode in read if mode is not None)


def _mode(key: Scalar, node: Node, scope: Scope) -> Mode | None:
    name, condition = read_name(key, "the name of a mode", scope.log), read_condition(node, scope.log)
    if name is None or condition is None:
        return None
    return Mode(name=name, place=key.place, condition=scope.resolved(condition))


def in_its_modes(requirement: Requirement, names: tuple[Scalar, ...], modes: tuple[Mode, ...], log: ProblemLog) -> Requirement:
    """Return the requirement narrowed to the modes that it names; a kind that cannot be is noted."""
    if not names:
        return requirement
    known = {mode.name: mode for mode in modes}
    for name in names:
        if name.text not in known:
            log.unknown(name.place, "a mode of this file", name.text, known)
    narrow = _NARROWED.get(requirement.kind)
    if narrow is None:
        expected = f"{IN_MODE!r} in a requirement of kind {', '.join(_NARROWED)} ('given: selector stays jog' narrows any)"
        log.note(names[0].place, expected, f"one of kind {requirement.kind}")
        return requirement
    found = tuple(known[name.text].condition for name in names if name.text in known)
    if not found:
        return requirement
    listed = " or ".join(name.text for name in names)
    condition = found[0] if len(found) == 1 else Or(names[0].place, found)
    entries = narrow({entry.name: entry for entry in requirement.entries}, condition)
    return replace(requirement, text=f"{requirement.text}, in mode {listed}", entries=tuple(entries.values()))


Entries = dict[str, Entry]


def _narrowed_never(entries: Entries, mode: Expression) -> Entries:
    return _changed(entries, "never", lambda bad: And(bad.place, (mode, *_parts(bad, And))))


def _narrowed_always(entries: Entries, mode: Expression) -> Entries:
    return _changed(entries, "always", lambda good: Or(good.place, (_no(mode), *_parts(good, Or))))


def _narrowed_interlock(entries: Entries, mode: Expression) -> Entries:
    """Each permissive on its own, so that it still shows which of them was never lost."""

    def narrowed(needs: Expression) -> Expression:
        parts = tuple(Or(part.place, (_no(mode), part)) for part in _parts(needs, And))
        return parts[0] if len(parts) == 1 else And(needs.place, parts)

    return _changed(entries, "only while", narrowed)


def _narrowed_reaction(entries: Entries, mode: Expression) -> Entries:
    """Asked for in the mode only; the end of the mode ends the need for it."""
    changed = _changed(entries, "when", lambda asked: And(asked.place, (mode, *_parts(asked, And))))
    if "until" in changed:
        return _changed(changed, "until", lambda end: Or(end.place, (_no(mode), end)))
    return changed | {"until": Entry(name="until", value=_no(mode), place=entries["when"].place)}


_NARROWED: dict[str, Callable[[Entries, Expression], Entries]] = {
    "never": _narrowed_never,
    "always": _narrowed_always,
    "interlock": _narrowed_interlock,
    "reaction": _narrowed_reaction,
}
"""The kinds whose meaning at every moment depends on that moment only."""


def _changed(entries: Entries, name: str, change: Callable[[Expression], Expression]) -> Entries:
    entry = entries.get(name)
    if entry is None or not isinstance(entry.value, Constant | Expression):
        return entries  # it is missing, which has been noted
    return entries | {name: replace(entry, value=change(entry.value))}


def _parts(condition: Expression, kind: type[And] | type[Or]) -> tuple[Expression, ...]:
    return condition.operands if isinstance(condition, kind) else (condition,)


def _no(mode: Expression) -> Not:
    return Not(mode.place, mode)
