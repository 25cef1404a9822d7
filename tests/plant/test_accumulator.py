"""The accumulator: fill time from machine data, filling, lowering, and drawing down."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plant_examples import MACHINE, behaviour, facts, failures, moves, ms, position

from seqcheck.errors import SequenceFileError
from seqcheck.language.expression import to_text
from seqcheck.language.sequence import MachineData
from seqcheck.quantities.time import TimeRange

ACCUMULATOR = behaviour("accumulator", fill_time=ms(20_000, 25_000))


def test_fill_time_from_machine_data() -> None:
    """(0.95 - 0.20) x 1.5 m x 12 = 13.5 m at 4 m/s x 15 % = 0.6 m/s take 22.5 s; 0.9 of it, over 0.9."""
    (reach, *_) = position(behaviour("accumulator"), "filling").moves
    assert reach.after == TimeRange(20_250_000, 25_000_000)


def test_healthy_moves() -> None:
    assert moves(ACCUMULATOR) == {
        "running": ["starve not fed -> drawn_above", "fill fill fed -> filling"],
        "filling": [
            "reach_filled 20000..25000 -> full",
            "starve not fed -> drawn_above",
            "lower not fill fed -> resumed_lowering",
        ],
        "full": [
            "draw not fed not supplied -> drawn_full_switch",
            "lower not fill fed -> lowering_full_switch",
        ],
        "lowering_full_switch": [
            "clear_filled 0..200 pulled -> lowering",
            "release_filled 0..any not pulled -> lowering",
            "reach_running 0..25000 -> running",
            "draw not fed not supplied -> drawn_full_switch",
            "fill fill fed -> resumed_filling",
        ],
        "lowering": [
            "reach_running 0..25000 -> running",
            "starve not fed -> drawn_above",
            "fill fill fed -> resumed_filling",
        ],
        "resumed_filling": [
            "reach_filled 0..25000 -> full",
            "starve not fed -> drawn_above",
            "lower not fill fed -> resumed_lowering",
        ],
        "resumed_lowering": [
            "reach_running 0..25000 -> running",
            "starve not fed -> drawn_above",
            "fill fill fed -> resumed_filling",
        ],
        "drawn_full_switch": [
            "clear_filled 0..200 pulled -> drawn_above",
            "release_filled 0..any not pulled -> drawn_above",
            "refill fill fed -> resumed_filling",
            "settle not fill fed -> resumed_lowering",
        ],
        "drawn_above": [
            "sink_below_running 0..any not fed not supplied -> drawn",
            "refill fill fed -> resumed_filling",
            "settle not fill fed -> resumed_lowering",
        ],
        "drawn": ["refill fill fed -> refilling", "settle not fill fed -> settling"],
        "refilling": [
            "reach_running 0..5000 -> filling",
            "starve not fed -> drawn",
            "settle not fill fed -> settling",
        ],
        "settling": [
            "reach_running 0..5000 -> running",
            "starve not fed -> drawn",
            "refill fill fed -> refilling",
        ],
    }


def test_facts_and_signals() -> None:
    """Drawn from full, the switch says full for a moment longer, and level until the content sinks below it."""
    assert facts(ACCUMULATOR) == {
        "running": "is_running_level | running",
        "filling": "is_running_level | running",
        "full": "is_filled is_running_level | filled running",
        "lowering_full_switch": "is_running_level | filled running",
        "lowering": "is_running_level | running",
        "resumed_filling": "is_running_level | running",
        "resumed_lowering": "is_running_level | running",
        "drawn_full_switch": "is_drawn is_running_level | filled running",
        "drawn_above": "is_drawn is_running_level | running",
        "drawn": "is_drawn |",
        "refilling": "is_drawn |",
        "settling": "is_drawn |",
    }


def test_drives_come_from_unwind_and_line() -> None:
    assert {drive.role: to_text(drive.condition) for drive in ACCUMULATOR.drives} == {
        "fill": "fill_accumulator",
        "fed": "unwind.is_at_speed",
        "supplied": "unwind.is_at_speed OR line.is_stopped",
        "pulled": "line.is_at_speed",
    }


def test_settling_takes_at_most_the_way_up_from_the_reserve() -> None:
    """From 5 to 20 % is a fifth of 20 to 95 %."""
    subject = behaviour("accumulator", fill_time=ms(5, 10), lower_time=ms(20, 40))
    assert moves(subject)["settling"][0] == "reach_running 0..2 -> running"
    assert moves(subject)["lowering"][0] == "reach_running 20..40 -> running"
    assert moves(subject)["resumed_lowering"][0] == "reach_running 0..40 -> running"


def test_the_filled_band_may_be_given() -> None:
    """Of a stop without its brake, in four times the time, it is twice as long; while the line is not at speed it has no end."""
    subject = behaviour("accumulator", filled_band=ms(10, 20))
    assert moves(subject)["drawn_full_switch"][:2] == [
        "clear_filled 10..40 pulled -> drawn_above",
        "release_filled 10..any not pulled -> drawn_above",
    ]


def test_no_fill_time_from_nowhere() -> None:
    with pytest.raises(SequenceFileError, match="machine data without accumulator, line or unwind"):
        behaviour("accumulator", MachineData())


def test_no_fill_time_without_overspeed() -> None:
    assert MACHINE.unwind is not None
    machine = replace(MACHINE, unwind=replace(MACHINE.unwind, overspeed_ratio=0.0))
    with pytest.raises(SequenceFileError, match="without overspeed"):
        behaviour("accumulator", machine)


def test_only_contacts_fail() -> None:
    assert set(failures(ACCUMULATOR).values()) == {
        "stuck_on | filled",
        "stuck_off | filled",
        "stuck_on | running",
        "stuck_off | running",
    }
