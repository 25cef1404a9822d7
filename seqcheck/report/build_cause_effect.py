"""Cause and effect: from every state in which a safeguard can call for a stop, how long each output and motion stays on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from seqcheck.check.bound import WIDENED
from seqcheck.check.outcome import Outcome
from seqcheck.explore.limits import StopReason
from seqcheck.explore.search import Search
from seqcheck.kernel.event import Pending
from seqcheck.kernel.network import Network
from seqcheck.kernel.state import State
from seqcheck.language.expression import Name, Not
from seqcheck.language.sequence import Sequence
from seqcheck.report.aged_seed import aged_seed, ending_at, network_with
from seqcheck.report.cause_effect import Cause, CauseEffect, CauseEffectCell, Effect, Reaction
from seqcheck.report.effect_clock import DONE, TOO_LONG, EffectClock
from seqcheck.report.exploration import Begin, Exploration
from seqcheck.report.fault_clock import clock_monitors
from seqcheck.report.safeguards import Safeguard, safeguards_of
from seqcheck.report.subjects import is_on, outputs_written, subjects_of
from seqcheck.requirements.moment import condition_in

LEAST_HORIZON_US = 2_000_000
GIVEN = "nothing has failed (but for causes that only a failure can bring), and nobody acts after the cause"


def causes_of(sequence: Sequence) -> tuple[Cause, ...]:
    """Guards (their bolt leaves, then they are opened), curtains, emergency stops, the broken web, lost energy."""
    found = [cause for part in safeguards_of(sequence) for cause in _causes_of_safeguard(part)]
    for device in sequence.devices:
        if device.type_name == "web_break":
            fact, failure = f"{device.name}.is_broken", f"{device.name}.breaks"
            found.append(
                Cause(name=fact, kind="web break", condition=fact, text=f"{device.name} breaks", by_failure=failure)
            )
    for circuit in sequence.circuits:
        condition = f"NOT {circuit.name}.is_on"
        text, failure = f"energy of circuit {circuit.name} is lost", f"{circuit.name}.lost"
        found.append(Cause(name=condition, kind="energy", condition=condition, text=text, by_failure=failure))
    return tuple(found)


def _causes_of_safeguard(part: Safeguard) -> Iterator[Cause]:
    if part.has_lock:
        condition = f"NOT {part.device}.is_locked"
        yield Cause(name=condition, kind=part.kind, condition=condition, text=f"{part.device} is unlocked: its bolt leaves")
    verb = {"guard": "is opened", "light curtain": "is interrupted", "emergency stop": "is pressed"}[part.kind]
    yield Cause(name=part.fact, kind=part.kind, condition=part.fact, text=f"{part.device} {verb}")


def effects_of(sequence: Sequence) -> tuple[Effect, ...]:
    """Outputs, then motions, then energy."""
    subjects = subjects_of(sequence)
    hazardous = {subject.name for subject in subjects}
    outputs = [Effect(name=name, kind="output", is_hazardous=name in hazardous) for name in outputs_written(sequence)]
    rest = [
        Effect(name=subject.name, kind=subject.kind.value, is_hazardous=True)
        for subject in subjects
        if subject.kind.value != "output"
    ]
    return (*outputs, *rest)


def horizon_us(sequence: Sequence) -> int:
    """The longest time looked at after a cause: twice the longest ramp, and 2 s at least."""
    machine = sequence.machine
    ramps = [part.stop for part in (machine.line, machine.unwind, machine.rewind) if part is not None and part.stop]
    return max(LEAST_HORIZON_US, *(2 * (ramp.latest_us or 0) for ramp in ramps), 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseFindings:
    """The table, and the (cause, motion) pairs of which some run still moves although energy has gone (as circuit names)."""

    table: CauseEffect
    powerless_motion: frozenset[tuple[str, str, str]]


def cause_effect_of(outcome: Outcome, exploration: Exploration) -> CauseFindings:
    """The table of one sequence, with what stop categories need of it."""
    sequence = outcome.sequence
    gathering = _Gathering(outcome, exploration, effects_of(sequence), horizon_us(sequence))
    causes = tuple(cause for cause in causes_of(sequence) if gathering.gather(cause))
    table = CauseEffect(
        causes=causes,
        effects=gathering.effects,
        cells=tuple(gathering.cells),
        given=GIVEN,
        horizon_us=gathering.horizon_us,
    )
    return CauseFindings(table=table, powerless_motion=frozenset(gathering.powerless))


@dataclass(slots=True)
class _Gathering:
    """Goes through the causes. Mutable; owned by `cause_effect_of`."""

    outcome: Outcome
    exploration: Exploration
    effects: tuple[Effect, ...]
    horizon_us: int
    cells: list[CauseEffectCell] = field(default_factory=list)
    powerless: set[tuple[str, str, str]] = field(default_factory=set)

    def gather(self, cause: Cause) -> bool:
        """Search from the cause; whether it can come at all."""
        begins = tuple(self._begins(cause))
        if not begins:
            return False
        mask, search, ended_at_once = self._search(cause, begins)
        seen = 0
        for begin in begins:
            seen |= mask(begin.before)
        for number, effect in enumerate(self.effects):
            self.cells.append(self._cell(cause, effect, number, seen, ended_at_once, search))
        self._note_powerless(cause, search)
        search.forget()
        return True

    def _begins(self, cause: Cause) -> Iterator[Begin]:
        network = self.exploration.network
        name = cause.condition.removeprefix("NOT ")
        test, wanted = is_on(network, name), not cause.condition.startswith("NOT ")
        yield from self.exploration.moment_begins(lambda before, after: test(after) is wanted and test(before) is not wanted)
        for failure, begins in self.exploration.failure_begins():
            if network.failures[failure].name == cause.by_failure:
                yield from (part for part in begins if test(part.seed.state) is wanted and test(part.before) is not wanted)

    def _search(self, cause: Cause, begins: tuple[Begin, ...]):  # type: ignore[no-untyped-def]
        quiet = self.exploration.quiet
        tests = [is_on(quiet, effect.name) for effect in self.effects]

        def mask(state: State) -> int:
            return sum(1 << number for number, test in enumerate(tests) if test(state))

        age = Pending(quiet.next_key, self.horizon_us, self.horizon_us)
        clock = EffectClock(effects=mask, age=age)
        search = Search(
            network=network_with(quiet, clock, cause.name),
            monitors=clock_monitors(self.horizon_us, len(self.effects)),
            limits=self.exploration.limits,
            notes_parts=False,
            cover=ending_at(frozenset((DONE, TOO_LONG)), self.exploration.store),
            core=self.exploration.quiet_core,
            store=self.exploration.store,
        )
        at_once, seeds = 0, []
        for begin in begins:
            state, gone = clock.begun(begin.before, begin.seed.state)
            at_once |= gone
            if state != DONE:
                seeds.append(aged_seed(begin.seed, state, self.horizon_us))
        search.begin_with(tuple(seeds))
        search.run()
        return mask, search, at_once

    def _cell(
        self, cause: Cause, effect: Effect, number: int, seen: int, at_once: int, search: Search
    ) -> CauseEffectCell:
        worst_us = search.records[number].worst_us
        if worst_us is None and at_once >> number & 1:
            worst_us = 0
        stays = search.stop is not StopReason.FINISHED or _stays_on(search, number)
        reaction = Reaction.NEVER_ON if not seen >> number & 1 else Reaction.MAY_STAY if stays else Reaction.STOPS
        return CauseEffectCell(
            cause=cause.name,
            effect=effect.name,
            reaction=reaction,
            worst_us=worst_us if reaction is Reaction.STOPS else None,
            by_bound=effect.kind == "motion" and _moves_by_bound(search, effect.name.split(".")[0]),
            requirements=_asking(self.outcome, cause, effect),
        )

    def _note_powerless(self, cause: Cause, search: Search) -> None:
        """Motions that go on in a state in which a circuit's energy has gone."""
        network = self.exploration.quiet
        energy = [effect.name for effect in self.effects if effect.kind == "energy"]
        motions = [effect.name for effect in self.effects if effect.kind == "motion"]
        for state in {node.core.state for node in search.nodes.values()}:
            for circuit in energy:
                if not is_on(network, circuit)(state):
                    self.powerless.update((cause.name, motion, circuit) for motion in motions if is_on(network, motion)(state))


def _stays_on(search: Search, number: int) -> bool:
    """Whether the longest time looked at can pass while the effect is still on, as the state before that moment tells."""
    for node in search.nodes.values():
        state = node.watch[0]
        assert isinstance(state, int), "the clock counts in one number"
        if state > 0 and state >> number & 1:
            ages = [step for step in node.steps[-1] or () if step.was_taken and step.target.watch == (TOO_LONG,)]
            if ages:
                return True
    return False


def _moves_by_bound(search: Search, device: str) -> bool:
    network: Network = search.network
    machine = network.machines[network.machine_index[device]]
    seen = {node.core.state.positions.numbers[machine.index] for node in search.nodes.values()}
    return any(machine.places[number].label.startswith(WIDENED) for number in seen)


def _asking(outcome: Outcome, cause: Cause, effect: Effect) -> tuple[str, ...]:
    """Reaction requirements from this cause to this effect going off."""
    found = []
    for judged in outcome.requirements:
        if judged.requirement.kind != "reaction":
            continue
        when, then = condition_in(judged.requirement, "when"), condition_in(judged.requirement, "then")
        if _text(when) in _same_as(cause.condition) and _text(then) in _off(effect.name):
            found.append(judged.requirement.id)
    return tuple(found)


def _text(condition: object) -> str:
    if isinstance(condition, Not) and isinstance(condition.operand, Name):
        return f"NOT {condition.operand.text}"
    return condition.text if isinstance(condition, Name) else ""


def _same_as(condition: str) -> set[str]:
    device, _, fact = condition.partition(".")
    return {condition, f"NOT {device}.is_closed"} if fact == "is_open" else {condition}


def _off(effect: str) -> set[str]:
    """The ways to say that an effect is off."""
    return {f"NOT {effect}", effect.replace(".is_moving", ".is_stopped")} - {effect}
