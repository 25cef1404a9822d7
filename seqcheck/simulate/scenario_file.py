"""Reads a scenario file: safe YAML, every mistake with its place, all of a file at once."""

from __future__ import annotations

from pathlib import Path

from seqcheck.kernel.network import Network
from seqcheck.language.document import MapNode, Node, Scalar, load_document
from seqcheck.language.sequence import Sequence
from seqcheck.quantities.time import parse_time
from seqcheck.reader.plain_value import check_keys, read_items, read_map, read_parsed, read_text, read_word
from seqcheck.reader.problem_log import ProblemLog
from seqcheck.simulate.scenario import BY_HAND, NOTHING, Found, Kind, Listed, Scenario, Times

KEYS = ("scenario", "sequence", "requirements", "times", "seed", "until", "found", "happens", "reads")
MOST_READS = 1_000_000
"""Reads of one scenario: nearly three hours at 10 ms."""
LONGEST_WHAT = 2_000
"""Characters of what happens; a read may enter many steps."""


def read_scenario(path: Path, sequence: Sequence, network: Network) -> Scenario:
    """The scenario in the file at `path`, made for `sequence`; `network` is the one it will run on.

    Raises SequenceFileError with everything that is wrong with it.
    """
    log = ProblemLog()
    reading = _Reading(sequence, network, log)
    scenario = reading.scenario(load_document(path))
    log.raise_if_any()
    assert scenario is not None, "what could not be read was noted"
    return scenario


def wanted_requirements(path: Path, sequence: Sequence) -> tuple[str, ...]:
    """The ids of the requirements that the file was made for, before a network is built for them.

    Raises SequenceFileError if one of them is not in the sequence.
    """
    log = ProblemLog()
    node = load_document(path).get("requirements")
    found = _ids(node, sequence, log) if node is not None else ()
    log.raise_if_any()
    return found


def _ids(node: Node, sequence: Sequence, log: ProblemLog) -> tuple[str, ...]:
    known = [requirement.id for requirement in sequence.requirements]
    found = []
    for item in read_items(node, "ids of requirements", log):
        text = read_text(item, "the id of a requirement", log)
        if text is not None and text not in known:
            log.unknown(item.place, f"a requirement of {sequence.file}", text, known)
        elif text is not None:
            found.append(text)
    return tuple(found)


class _Reading:
    """Reads one document; owned by one call of `read_scenario`."""

    def __init__(self, sequence: Sequence, network: Network, log: ProblemLog) -> None:
        self.sequence = sequence
        self.log = log
        self.network = network
        self.failures = [mode.name for mode in network.failures]
        acting = [
            (machine.name, move.act)
            for machine in network.machines
            for place in machine.places
            for move in place.free
        ]
        self.acts = [f"{device} {act}" for device, act in dict.fromkeys(acting)]
        moving = (f"{subject} {action}" for subject, action in self._subjects())
        self.known = {
            Kind.ACT: self.acts,
            Kind.FAILS: self.failures,
            Kind.REPAIRED: self.failures,
            Kind.MOVES: list(moving),
        }

    def _subjects(self) -> set[tuple[str, str]]:
        places = {
            (machine.name, place.label) for machine in self.network.machines for place in machine.places
        }
        return places | {(machine.name, "recovers") for machine in self.network.machines}

    def scenario(self, document: MapNode) -> Scenario | None:
        """The whole."""
        log = self.log
        check_keys(document, KEYS, "a scenario", log)
        until_us = self._time(document, "until")
        times = self._times(document)
        listed = self._happens(document.get("happens"), times)
        requirements = document.get("requirements")
        return (
            None
            if until_us is None
            else Scenario(
                title=self._text(document, "scenario") or "",
                requirements=_ids(requirements, self.sequence, log) if requirements is not None else (),
                times=times,
                seed=self._whole(document, "seed"),
                until_us=until_us,
                found=self._found(document.get("found")),
                listed=listed,
                reads_us=self._reads(document.get("reads")),
            )
        )

    def _times(self, document: MapNode) -> Times:
        node = document.get("times")
        words = [times.value for times in Times]
        if node is None:
            return Times.EARLIEST
        word = read_word(node, "how times are chosen", words, self.log)
        return Times(word) if word is not None else Times.LISTED

    def _text(self, owner: MapNode, name: str) -> str | None:
        node = owner.get(name)
        if node is None:
            self.log.note(owner.place, f"'{name}' with a text", "nothing")
            return None
        return read_text(node, f"a text for {name!r}", self.log, LONGEST_WHAT)

    def _time(self, owner: MapNode, name: str) -> int | None:
        node = owner.get(name)
        if node is None:
            self.log.note(owner.place, f"'{name}' with a time such as '1.5 s'", "nothing")
            return None
        return read_parsed(node, "a time such as '1.5 s'", _parse_long_time, self.log)

    def _whole(self, owner: MapNode, name: str, default: int = 0) -> int:
        node = owner.get(name)
        if node is None:
            return default
        found = read_parsed(node, "a whole number", _parse_whole, self.log)
        return default if found is None else found

    # -- what happens ----------------------------------------------------------------------------------------

    def _happens(self, node: Node | None, times: Times) -> tuple[Listed, ...]:
        if node is None:
            return ()
        read = [self._listed(item, times) for item in read_items(node, "a list of what happens", self.log)]
        return tuple(item for item in read if item is not None)

    def _listed(self, node: Node, times: Times) -> Listed | None:
        owner = read_map(node, "what happens, as in {at: 1 s, act: request presses}", self.log)
        if owner is None:
            return None
        kinds = [kind for kind in Kind if owner.get(kind.value) is not None]
        check_keys(owner, ("at", *(kind.value for kind in Kind), "with", "outcome"), "what happens", self.log)
        time_us = self._time(owner, "at")
        if len(kinds) != 1:
            words = ", ".join(kind.value for kind in Kind)
            self.log.note(owner.place, f"one of {words}", ", ".join(kinds) or "none of them")
            return None
        self._check_by_hand(owner, kinds[0], times)
        what = self._what(owner, kinds[0])
        failures = self._failures_in(owner.get("with"))
        if time_us is None or what is None:
            return None
        return Listed(
            time_us=time_us,
            kind=kinds[0],
            what=what,
            failures=failures,
            outcome=self._whole(owner, "outcome"),
        )

    def _check_by_hand(self, owner: MapNode, kind: Kind, times: Times) -> None:
        if times is not Times.LISTED and kind not in BY_HAND:
            expected = "an act, a failure or a repair, as the other times are chosen by rule (times: as listed lists all)"
            self.log.note(owner.place, expected, kind.value)

    def _what(self, owner: MapNode, kind: Kind) -> str | None:
        node = owner.get(kind.value)
        assert node is not None, "asked for a kind that is there"
        if kind is Kind.READS and isinstance(node, Scalar) and node.text == "":
            return NOTHING
        text = read_text(node, f"what {kind.value}", self.log, LONGEST_WHAT)
        known = self.known.get(kind)
        misbehaves = kind is Kind.FAILS and self.network.options.controller_fault
        if text is not None and known is not None and text not in known and not misbehaves:
            self.log.unknown(node.place, f"what {kind.value} in {self.sequence.file}", text, known)
        return text

    def _failures_in(self, node: Node | None) -> tuple[str, ...]:
        if node is None:
            return ()
        found = []
        for item in read_items(node, "failures", self.log):
            text = read_text(item, "a failure as 'device.failure'", self.log)
            if text is not None and text not in self.failures:
                self.log.unknown(item.place, f"a failure of {self.sequence.file}", text, self.failures)
            elif text is not None:
                found.append(text)
        return tuple(sorted(found))

    # -- start and reads -------------------------------------------------------------------------------------

    def _found(self, node: Node | None) -> Found | None:
        if node is None:
            return None
        owner = read_map(node, "devices and steps as found at power-up", self.log)
        if owner is None:
            return None
        check_keys(owner, ("devices", "steps", "flags", "outcome"), "a start", self.log)
        return Found(
            devices=self._pairs(
                owner,
                "devices",
                {
                    machine.name: [place.label for place in machine.places]
                    for machine in self.network.machines
                },
            ),
            steps=self._pairs(
                owner,
                "steps",
                {chart.name: list(chart.step_names) for chart in self.network.controller.charts},
            ),
            flags=self._flags(owner.get("flags")),
            outcome=self._whole(owner, "outcome"),
        )

    def _flags(self, node: Node | None) -> tuple[str, ...]:
        """The retained flags that are on."""
        known = [name for name, _ in self.network.controller.retained_flags]
        found: list[str] = []
        for item in read_items(node, "a list of retained flags", self.log) if node is not None else ():
            text = read_text(item, "a retained flag", self.log)
            if text is not None and text not in known:
                self.log.unknown(item.place, f"a retained flag of {self.sequence.file}", text, known)
            elif text is not None:
                found.append(text)
        return tuple(found)

    def _pairs(self, owner: MapNode, name: str, known: dict[str, list[str]]) -> tuple[tuple[str, str], ...]:
        node = owner.get(name)
        if node is None:
            return ()
        held = read_map(node, f"names of {name} with how they are found", self.log)
        found = []
        for key, value in held.entries if held is not None else ():
            text = read_text(value, f"how {key.text} is found", self.log)
            if key.text not in known:
                self.log.unknown(key.place, f"one of the {name} of {self.sequence.file}", key.text, known)
            elif text is not None and text not in known[key.text]:
                self.log.unknown(value.place, f"how {key.text} can be found", text, known[key.text])
            elif text is not None:
                found.append((key.text, text))
        return tuple(found)

    def _reads(self, node: Node | None) -> tuple[int, ...]:
        found: list[int] = []
        for item in read_items(node, "a list of reads", self.log) if node is not None else ():
            owner = read_map(item, "reads, as in {from: 10 ms, every: 10 ms, count: 20}", self.log)
            if owner is None:
                continue
            check_keys(owner, ("from", "every", "count"), "reads", self.log)
            first_us = self._time(owner, "from")
            count = self._whole(owner, "count", 1)
            every_us = self._time(owner, "every") if owner.get("every") is not None else 0
            if len(found) + count > MOST_READS:
                self.log.note(item.place, f"at most {MOST_READS} reads", "more")
                break
            if first_us is not None and every_us is not None:
                found.extend(first_us + every_us * number for number in range(count))
        return tuple(sorted(found))


def _parse_long_time(text: str) -> int:
    """A time as `format_time` writes it, also in several parts (`1 min 5.2 s`)."""
    words = text.split()
    if len(words) in (4, 6):
        return sum(parse_time(f"{words[at]} {words[at + 1]}") for at in range(0, len(words), 2))
    return parse_time(text)


def _parse_whole(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise ValueError(f"expected a whole number, found {text!r}")
    return int(text)
