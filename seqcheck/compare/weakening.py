"""Whether a requirement asks less than it did: a limit raised, a failure no longer allowed for, a condition that asks less."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seqcheck.compare.requirement_facts import CONDITION, NAMES, NUMBER, Fact, RequirementFacts
from seqcheck.compare.strength import Strength, strength
from seqcheck.errors import Place
from seqcheck.language.expression import parse_expression
from seqcheck.quantities.time import format_time

AT_MOST = {
    "within", "drop within", "at most", "draw at most", "refill within", "tail at most", "tolerance", "compensation",
}  # fmt: skip
"""Fields that ask less when they grow. (Compensation is what a drive takes over: more of it leaves less to judge.)"""
AT_LEAST = {"at least"}
"""Fields that ask less when they shrink."""
TIMES = {"within", "drop within", "at most", "at least", "refill within", "gate"}

STRONGER_ASKS_MORE = {"only while", "always", "then"}
"""Conditions that the machine must keep: it is asked less of when they are true in more situations."""
WEAKER_ASKS_MORE = {"never", "when", "no", "between", "mark"}
"""Conditions that put the requirement to the test: it asks less when they are true in fewer situations."""
EXCUSES = {"unless", "until"}
"""Conditions that end the obligation: it asks less when they are true in more situations."""
MORE_ASKS_LESS = {"reaches"}
"""Names of which any one will do."""
FEWER_ASKS_LESS = {"detects"}
"""Names each of which is asked for."""
SEVERITIES = ("safety", "production", "quality")
"""The weightiest first."""
NEVER_WRITTEN = Place("", 1, 1)


def weakenings(old: RequirementFacts, new: RequirementFacts) -> tuple[str, ...]:
    """In what `new` asks less than `old`, a sentence each; empty: in nothing that is known to ask less."""
    if old.kind != new.kind:
        return (f"it was of the kind '{old.kind}' and is of the kind '{new.kind}' now",)
    return (*_hypothesis(old, new), *_given(old, new), *_other(old, new), *_by_fact(old, new, _weaker))


def undecided_changes(old: RequirementFacts, new: RequirementFacts) -> tuple[str, ...]:
    """Changes of which it is not known whether they ask less, a sentence each."""
    return () if old.kind != new.kind else tuple(_by_fact(old, new, _open))


Judge = Callable[[Fact, Fact], str]


def _by_fact(old: RequirementFacts, new: RequirementFacts, judge: Judge) -> Iterator[str]:
    for fact in old.facts:
        now = new.fact(fact.name)
        if now is None:
            yield from _dropped(fact, judge)
        elif now != fact:
            sentence = judge(fact, now)
            if sentence:
                yield sentence
    for fact in new.facts:
        if old.fact(fact.name) is None:
            yield from _added(fact, judge)


def _dropped(fact: Fact, judge: Judge) -> Iterator[str]:
    """A limit that is gone asks less; an excuse that is gone asks more."""
    if fact.name in EXCUSES:
        return
    if judge is _weaker and fact.name in AT_MOST | AT_LEAST:
        yield f"'{fact.name}: {_shown(fact)}' is gone"
    if judge is _open and fact.name not in AT_MOST | AT_LEAST:
        yield f"'{fact.name}: {_shown(fact)}' is gone"


def _added(fact: Fact, judge: Judge) -> Iterator[str]:
    if judge is _weaker and fact.name in EXCUSES:
        yield f"'{fact.name}: {_shown(fact)}' was added, which ends the obligation sooner"
    if judge is _open and fact.name not in EXCUSES | AT_MOST | AT_LEAST:
        yield f"'{fact.name}: {_shown(fact)}' was added"


def _weaker(old: Fact, new: Fact) -> str:
    """A sentence if the field is known to ask less."""
    change = f"'{old.name}': {_shown(old)} -> {_shown(new)}"
    if old.sort == new.sort == NUMBER:
        return f"{change}, a limit that allows more" if _allows_more(old, new) else ""
    if old.sort == new.sort == CONDITION and _condition(old, new) in _asks_less(old.name):
        return f"{change}, {_condition(old, new).value}"
    if old.sort == new.sort == NAMES and _names_ask_less(old, new):
        return f"{change}, which asks less"
    return ""


def _open(old: Fact, new: Fact) -> str:
    """A sentence if nobody can tell whether the field asks less."""
    change = f"'{old.name}': {_shown(old)} -> {_shown(new)}"
    if old.sort == new.sort == NUMBER:
        return "" if old.name in AT_MOST | AT_LEAST else change
    if old.sort == new.sort == CONDITION:
        how = _condition(old, new)
        is_known = bool(_asks_less(old.name)) and how not in (Strength.OTHER, Strength.NOT_DECIDED)
        return "" if is_known or how is Strength.SAME else f"{change}, {how.value}"
    is_known = old.sort == new.sort == NAMES and old.name in MORE_ASKS_LESS | FEWER_ASKS_LESS
    return "" if is_known and _is_comparable(old, new) else change


def _allows_more(old: Fact, new: Fact) -> bool:
    before, after = old.value, new.value
    assert isinstance(before, float) and isinstance(after, float)
    return (old.name in AT_MOST and after > before) or (old.name in AT_LEAST and after < before)


def _condition(old: Fact, new: Fact) -> Strength:
    before, after = (parse_expression(str(fact.value), NEVER_WRITTEN) for fact in (old, new))
    return strength(before, after)


def _asks_less(name: str) -> tuple[Strength, ...]:
    """How a condition of this name has changed when it asks less; nothing: nobody can tell."""
    if name in STRONGER_ASKS_MORE | EXCUSES:
        return (Strength.WEAKER,)
    return (Strength.STRONGER,) if name in WEAKER_ASKS_MORE else ()


def _names_ask_less(old: Fact, new: Fact) -> bool:
    before, after = set(_names(old)), set(_names(new))
    return (old.name in MORE_ASKS_LESS and before < after) or (old.name in FEWER_ASKS_LESS and after < before)


def _is_comparable(old: Fact, new: Fact) -> bool:
    before, after = set(_names(old)), set(_names(new))
    return before <= after or after <= before


def _names(fact: Fact) -> tuple[str, ...]:
    assert isinstance(fact.value, tuple)
    return fact.value


def _hypothesis(old: RequirementFacts, new: RequirementFacts) -> Iterator[str]:
    if old.controller and not new.controller:
        yield "it is no longer judged with a controller that misbehaves"
    if new.faults < old.faults:
        yield f"it is judged under at most {new.faults} failures, was {old.faults}"
    elif new.faults and new.named and (not old.named or set(new.named) < set(old.named)):
        yield f"it is judged under fewer failures: {', '.join(old.named) or 'any'} -> {', '.join(new.named)}"
    if old.start_anywhere and not new.start_anywhere:
        yield "it is no longer judged from every start"


def _given(old: RequirementFacts, new: RequirementFacts) -> Iterator[str]:
    is_narrower = new.allowed is not None and (old.allowed is None or set(new.allowed) < set(old.allowed))
    if is_narrower and new.allowed is not None:
        yield f"people are taken to do less: {_acts(old.allowed)} -> {_acts(new.allowed)}"
    still = [text for text in new.still if text not in old.still]
    if still:
        yield f"it is taken for granted that {', '.join(still)}"


def _acts(allowed: tuple[str, ...] | None) -> str:
    return "anything" if allowed is None else ", ".join(allowed) or "nothing"


def _other(old: RequirementFacts, new: RequirementFacts) -> Iterator[str]:
    if SEVERITIES.index(new.severity) > SEVERITIES.index(old.severity):
        yield f"its severity was {old.severity} and is {new.severity} now"


def _shown(fact: Fact) -> str:
    if isinstance(fact.value, float):
        return format_time(round(fact.value)) if fact.name in TIMES else f"{fact.value:g}"
    return ", ".join(fact.value) if isinstance(fact.value, tuple) else fact.value
