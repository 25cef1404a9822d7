"""The section `rules`: which rule sets a file asks for, and the requirements that they become."""

from __future__ import annotations

from seqcheck.errors import SequenceFileError
from seqcheck.language.document import ListNode, MapNode, Node, Scalar
from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.condition import read_condition
from seqcheck.reader.limits import MOST_RULES
from seqcheck.reader.plain_value import check_count, kind_of, read_word
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.reader.scope import Scope
from seqcheck.requirements.rule_catalogue import RULE_SETS


def read_rules(node: Node | None, scope: Scope) -> tuple[RuleCall, ...]:
    """Return the calls that are clear: `guard locking`, or `{emergency stop: start_pressed}`."""
    if node is None:
        return ()
    if not isinstance(node, ListNode):
        scope.log.note(node.place, f"a list of rule sets ({', '.join(RULE_SETS)})", kind_of(node))
        return ()
    check_count(node.place, len(node.items), MOST_RULES, "rule sets", scope.log)
    found = [_call(item, scope) for item in node.items[:MOST_RULES]]
    return tuple(call for call in found if call is not None)


def _call(item: Node, scope: Scope) -> RuleCall | None:
    if isinstance(item, MapNode) and len(item.entries) == 1:
        key, value = item.entries[0]
        return _with_value(key, value, scope)
    name = read_word(item, "a rule set", RULE_SETS, scope.log)
    if name is None:
        return None
    if RULE_SETS[name].asks_for:
        scope.log.note(item.place, f"'{{{name}: ...}}' with {RULE_SETS[name].asks_for}", repr(name))
        return None
    return RuleCall(name=name, place=item.place)


def _with_value(key: Scalar, value: Node, scope: Scope) -> RuleCall | None:
    name = read_word(key, "a rule set", RULE_SETS, scope.log)
    if name is None:
        return None
    rules = RULE_SETS[name]
    if not rules.asks_for:
        scope.log.note(value.place, f"{name!r} alone, which takes no value", kind_of(value))
        return None
    if rules.needs_condition:
        condition = read_condition(value, scope.log)
        return None if condition is None else RuleCall(name=name, place=key.place, start=scope.resolved(condition))
    word = read_word(value, f"a word for {name!r}", rules.words, scope.log)
    return None if word is None else RuleCall(name=name, place=key.place, word=word)


def expanded(calls: tuple[RuleCall, ...], sequence: Sequence, log: ProblemLog) -> tuple[Requirement, ...]:
    """Return the requirements that the rule sets become in a sequence that is otherwise right."""
    taken = {requirement.id: str(requirement.place) for requirement in sequence.requirements}
    found: list[Requirement] = []
    for call in calls:
        try:
            more = RULE_SETS[call.name].expand(call, sequence)
        except SequenceFileError as error:
            log.add(error.problems)
            continue
        for requirement in more:
            if requirement.id in taken:
                log.note(call.place, "each id once", f"{requirement.id!r}, already used in {taken[requirement.id]}")
            taken.setdefault(requirement.id, str(requirement.place))
            found.append(requirement)
    return tuple(found)
