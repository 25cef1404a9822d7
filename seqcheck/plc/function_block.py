"""The standard function blocks TON, TOF, TP, R_TRIG and F_TRIG, run call by call.

A block looks at its input only when it is called, so it measures time from the call that saw a change. Where a diagram of the
standard leaves a single call open, the state form of a public library that follows the second-edition draft decides: a pulse whose
end and whose next rising edge are seen by one call is not started again by it (check-values 7.3).
Source: IEC 61131-3, standard function blocks: timing diagrams of TP, TON, TOF; bodies of R_TRIG, F_TRIG.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Cell = bool | int | str
"""What a variable holds: BOOL; whole number or microseconds; name of an enumeration's value."""


@dataclass(frozen=True, slots=True)
class BlockType:
    """A standard function block: its inputs and outputs with their types, and what a call does."""

    inputs: dict[str, str]
    outputs: dict[str, str]
    run: Callable[[BlockMemory, int], None]


@dataclass(slots=True)
class BlockMemory:
    """An instance. `cells` are inputs and outputs by name; the rest is its own. Mutable; owned by the unit that declares it."""

    cells: dict[str, Cell]
    was_on: bool = False
    is_timing: bool = False
    started_us: int = 0
    ended: bool = False


def _on_delay(block: BlockMemory, now_us: int) -> None:
    is_on, preset_us = block.cells["IN"], int(block.cells["PT"])
    if is_on and not block.was_on:
        block.started_us = now_us
    elapsed_us = min(now_us - block.started_us, preset_us) if is_on else 0
    block.cells["ET"], block.cells["Q"] = elapsed_us, bool(is_on) and elapsed_us >= preset_us
    block.was_on = bool(is_on)


def _off_delay(block: BlockMemory, now_us: int) -> None:
    is_on, preset_us = block.cells["IN"], int(block.cells["PT"])
    if block.was_on and not is_on:
        block.started_us, block.is_timing = now_us, True
    if is_on:
        block.is_timing = False
    elapsed_us = min(now_us - block.started_us, preset_us) if block.is_timing else 0
    block.cells["ET"], block.cells["Q"] = elapsed_us, bool(is_on) or (block.is_timing and elapsed_us < preset_us)
    block.was_on = bool(is_on)


def _pulse(block: BlockMemory, now_us: int) -> None:
    is_on, preset_us = block.cells["IN"], int(block.cells["PT"])
    if block.is_timing and now_us - block.started_us >= preset_us:
        block.is_timing, block.ended = False, True
    elif not block.is_timing and not block.ended and is_on and not block.was_on:
        block.started_us, block.is_timing = now_us, preset_us > 0
        block.ended = preset_us == 0
    if block.ended and not is_on:
        block.ended = False
    elapsed_us = now_us - block.started_us if block.is_timing else preset_us if block.ended else 0
    block.cells["ET"], block.cells["Q"] = elapsed_us, block.is_timing
    block.was_on = bool(is_on)


def _rising(block: BlockMemory, _now_us: int) -> None:
    clock = bool(block.cells["CLK"])
    block.cells["Q"] = clock and not block.was_on
    block.was_on = clock


def _falling(block: BlockMemory, _now_us: int) -> None:
    """The memory holds NOT CLK and starts as FALSE: an input that is false in the first call counts as a falling edge."""
    was_off, is_off = block.was_on, not block.cells["CLK"]
    block.cells["Q"] = is_off and not was_off
    block.was_on = is_off


_TIMER = ({"IN": "BOOL", "PT": "TIME"}, {"Q": "BOOL", "ET": "TIME"})
_EDGE = ({"CLK": "BOOL"}, {"Q": "BOOL"})

STANDARD_BLOCKS = {
    "TON": BlockType(*_TIMER, _on_delay),
    "TOF": BlockType(*_TIMER, _off_delay),
    "TP": BlockType(*_TIMER, _pulse),
    "R_TRIG": BlockType(*_EDGE, _rising),
    "F_TRIG": BlockType(*_EDGE, _falling),
}


def new_block(block_type: BlockType) -> BlockMemory:
    """An instance with the initial values of the standard."""
    fields = {**block_type.inputs, **block_type.outputs}
    return BlockMemory({name: 0 if type_name == "TIME" else False for name, type_name in fields.items()})
