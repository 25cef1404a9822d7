"""Rules for a two-hand control: its output alone starts, a hand let go stops, and both must have let go before it starts again."""

from __future__ import annotations

from seqcheck.language.expression import Name, Not
from seqcheck.language.field import Signal
from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Device, Hypothesis, Requirement, Sequence
from seqcheck.requirements.rule_set import ANY_ONE, RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    controls = [device for device in sequence.devices if device.type_name == "two_hand_control"]
    if not controls:
        raise file.lacks("a device of type two_hand_control")
    if not isinstance(call.start, Name):
        raise file.lacks("the name of one output under the two-hand control")
    return tuple(part for control in controls for part in _of(file, control, call.start.text))


def _of(file: RuleFile, control: Device, output: str) -> tuple[Requirement, ...]:
    signal = control.value("on", Signal)
    assert signal is not None, "the reader asks for it"
    if (control.value("kind", str) or "III") != "III":
        raise file.lacks(f"'kind: III' of {control.name}")
    energised = file.requirement(
        f"T1.{control.name}.{output}",
        "interlock",
        f"{output} is turned on only while {control.name} says that both hands are on it.",
        "ISO 13851 5.2",
        ANY_ONE,
        interlock=output,
        only_while=file.name(signal.name),
    )
    both = file.requirement(
        f"T2.{control.name}.{output}",
        "order",
        f"After a hand has let go of {control.name}, {output} comes on only once both have.",
        "ISO 13851 5.6",
        Hypothesis(),
        no=file.name(output),
        before=file.name(f"{control.name}.is_released"),
        since=Not(file.call.place, file.name(f"{control.name}.is_on")),
    )
    return energised, both


TWO_HAND_CONTROL = RuleSet(
    name="two-hand control",
    meaning="an output is turned on only by a two-hand control of type III, and again only after both hands have let go",
    expand=_expand,
    asks_for="the output under it, such as press_close",
    needs_condition=True,
)
