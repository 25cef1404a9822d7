"""Checks of requirements on the sound machine: what is brought about, and what the proof lets one expect."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seqcheck.check.measure_text import value_text, worst_text
from seqcheck.check.outcome import Measure, Outcome, RequirementOutcome
from seqcheck.language.expression import And, Expression, to_text
from seqcheck.language.field import Act
from seqcheck.language.sequence import Entry, Requirement
from seqcheck.quantities.time import format_time
from seqcheck.report.protocol import MachineCheck, SetUp
from seqcheck.report.ways import Ways, act_text, wanted_names
from seqcheck.requirements.verdict import Verdict

WATCHED_KINDS = ("never", "always", "interlock")
"""Kinds that speak of every moment, so that they can be watched while something else is tested."""

LIMITS = ("within", "at most", "at least", "drop within")
"""Fields whose value is a time allowed."""

POWER_UP = "Take the machine through a power-up from where it stands."
NORMAL = "Start the machine from its initial steps."


def requirement_set_ups(outcome: Outcome, ways: Ways) -> tuple[SetUp, ...]:
    """One set-up for each way to start and each `given`, in the order in which they first stand in the file."""
    made: dict[tuple[bool, str], list[RequirementOutcome]] = {}
    for judged in sorted(outcome.requirements, key=lambda part: part.requirement.start_anywhere):
        made.setdefault((judged.requirement.start_anywhere, judged.requirement.given.text), []).append(judged)
    return tuple(_set_up(anywhere, given, parts, ways) for (anywhere, given), parts in made.items())


def _set_up(anywhere: bool, given: str, parts: list[RequirementOutcome], ways: Ways) -> SetUp:
    start = "from power-up with the machine in any state" if anywhere else "from the normal start"
    people = "" if given == "anything" else f", {given}"
    kept = f"Keep to this while the checks run: {given}." if people else "People may do anything that the controls allow."
    return SetUp(
        title=f"Sound machine, {start}{people}",
        prepare=(
            "Machine complete, no fault introduced, no alarm on, all jumpers and test switches out.",
            POWER_UP if anywhere else NORMAL,
            kept,
        ),
        restore=("Leave the machine sound, in its initial steps.",),
        checks=tuple(_Writer(judged, ways).check() for judged in sorted(parts, key=lambda part: part.requirement.kind)),
    )


def watched_under_faults(outcome: Outcome) -> tuple[tuple[str, str], ...]:
    """Requirements that are proven for every moment under a fault, as (id, text): they must hold in each check of a fault too."""
    return tuple(
        (judged.requirement.id, judged.requirement.text)
        for judged in outcome.requirements
        if judged.requirement.kind in WATCHED_KINDS
        and judged.verdict is Verdict.HOLDS
        and judged.requirement.given.text == "anything"
        and judged.hypothesis in ("any one fault", "any two faults")
    )


@dataclass(frozen=True, slots=True)
class _Writer:
    judged: RequirementOutcome
    ways: Ways

    @property
    def asked(self) -> Requirement:
        return self.judged.requirement

    def check(self) -> MachineCheck:
        is_proven = self.judged.verdict is Verdict.HOLDS
        return MachineCheck(
            key=self.asked.id,
            title=f"{self.asked.id}: {self.asked.text}",
            do=tuple(self._do()),
            expect=tuple(self._expected()),
            write_down=tuple(f"{measure.quantity}" for measure in self.judged.measures) or ("seen",),
            warn=() if is_proven else (f"Not proven ({self.judged.verdict.value}): {self.judged.reason or 'see the review'}.",),
            is_proven=is_proven,
        )

    # ---- what to do

    def _do(self) -> Iterator[str]:
        match self.asked.kind:
            case "interlock":
                yield from self._interlock()
            case "never" | "always":
                yield from self._every_moment()
            case "reaction":
                yield from self._brought("when", "Bring this about")
                yield f"Record the time from that moment until: {self._text('then')}."
            case "completion":
                yield f"Let the machine enter {self._text('from')}; nothing else is touched that the set-up does not name."
                yield f"Record the time until it enters {self._text('reaches')}."
            case "duration":
                yield f"Record the time from {self._text('between')} until {self._text('and')}, in at least three cycles."
            case "order":
                yield f"Run the sequence, and try to bring about ({self._text('no')}) early, before ({self._text('before')})."
                yield from self._brought("no", "Try this")
            case "recovery":
                yield from self._recovery()
            case "detection":
                yield f"The faults of ({self._text('detects')}) are below; there, record the time to the first alarm."
            case _:
                yield f"Run what this speaks of, in at least three cycles ({self._all()})."

    def _interlock(self) -> Iterator[str]:
        output, needs = self._text("interlock"), self._condition("only while")
        yield f"Bring the machine to where it would next set {output}."
        for part in needs.operands if isinstance(needs, And) else (needs,) if needs is not None else ():
            yield f"Take away ({to_text(part)}): {self._how(part, False)}. Ask for {output}, see that it stays off; give it back."
            if self.judged.measures:
                yield f"Take away ({to_text(part)}) again while {output} is on; record the time until it is off."

    def _every_moment(self) -> Iterator[str]:
        kind = self.asked.kind
        condition = self._condition(kind)
        yield f"Record this through the whole test: {self._text(kind)}."
        if condition is None:
            return
        parts = condition.operands if isinstance(condition, And) else (condition,)
        lead, value = ("Try to bring about", True) if kind == "never" else ("Try to break", False)
        for part in parts:
            rest = " while the rest stands" if kind == "never" and len(parts) > 1 else ""
            yield f"{lead} ({to_text(part)}){rest}: {self._how(part, value)}."

    def _brought(self, name: str, lead: str) -> Iterator[str]:
        condition = self._condition(name)
        if condition is not None:
            yield f"{lead} ({to_text(condition)}): {self._how(condition, True)}."

    def _recovery(self) -> Iterator[str]:
        yield f"Stop the machine in any step with an alarm, then put it right ({self._text('recovery')})."
        entry = self.asked.entry("acts")
        for act in entry.value if entry is not None and isinstance(entry.value, tuple) else ():
            if isinstance(act, Act):
                yield f"{act_text(act.device, act.act).capitalize()}, within {_latest(act)} of the act before."
        yield f"Record the time until it enters {self._text('reaches')}."

    # ---- what must happen

    def _expected(self) -> Iterator[str]:
        if self.judged.verdict is not Verdict.HOLDS:
            yield "Nothing is proven that could be accepted; put the sequence right first."
            return
        match self.asked.kind:
            case "never":
                yield f"Never: {self._text('never')}."
            case "always":
                yield f"Always: {self._text('always')}."
            case "interlock":
                yield f"{self._text('interlock')} is on only while {self._text('only while')}."
            case "order":
                yield f"No ({self._text('no')}) before ({self._text('before')})."
            case _ if not self.judged.measures:
                stated = [f"{name} {self._text(name)}" for name in LIMITS if self.asked.entry(name) is not None]
                yield f"{self.asked.text.rstrip('.')}{': ' if stated else ''}{', '.join(stated)}."
        yield from (text for measure in self.judged.measures for text in _limits(measure))

    # ---- values of fields

    def _condition(self, name: str) -> Expression | None:
        entry = self.asked.entry(name)
        value = entry.value if entry is not None else None
        return value if isinstance(value, Expression) else None

    def _how(self, condition: Expression, value: bool) -> str:
        return "; ".join(self.ways.text(name, wanted) for name, wanted in dict.fromkeys(wanted_names(condition, value)))

    def _text(self, name: str) -> str:
        entry = self.asked.entry(name)
        return "" if entry is None else _value(entry)

    def _all(self) -> str:
        return "; ".join(f"{entry.name} {_value(entry)}" for entry in self.asked.entries)


def _value(entry: Entry) -> str:
    if isinstance(entry.value, Expression):
        return to_text(entry.value)
    if isinstance(entry.value, int) and not isinstance(entry.value, bool):
        return format_time(entry.value)
    if isinstance(entry.value, tuple):
        return ", ".join(str(part) for part in entry.value)
    return str(entry.value)


def _latest(act: Act) -> str:
    return "no given time" if act.within.latest_us is None else format_time(act.within.latest_us)


def _limits(measure: Measure) -> Iterator[str]:
    """What is proven of a measure, against what is allowed. Past a least value alone a stopwatch stops: no worst then."""
    if measure.at_least is not None and measure.best is not None:
        allowed = value_text(measure.at_least, measure.unit)
        yield f"{measure.quantity}: at least {value_text(measure.best, measure.unit)} by the proof; allowed at least {allowed}."
        if measure.limit is None:
            return
    kind = "at least" if measure.is_least else "at most"
    limit = "" if measure.limit is None else f"; allowed {kind} {value_text(measure.limit, measure.unit)}"
    yield f"{measure.quantity}: {kind} {worst_text(measure)} by the proof{limit}."
