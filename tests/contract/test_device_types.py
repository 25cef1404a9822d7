"""What every device type promises the kernel, whatever the device is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import networkx as nx
import pytest
from plant_examples import EXAMPLES, MACHINE, behaviour, device, ms, name

from seqcheck.language.expression import names_in
from seqcheck.language.field import Field, FieldKind
from seqcheck.plant.behaviour import Behaviour, Move, Position
from seqcheck.plant.catalogue import DEVICE_TYPES

VARIANTS: dict[str, tuple[str, dict[str, object]]] = {
    **{name: (name, {}) for name in DEVICE_TYPES},
    "cylinder without switches": (
        "cylinder",
        {"switches__out": None, "switches__home": None, "switches__band": None},
    ),
    "cylinder with two solenoids": ("cylinder", {"opposite": "clamp_open_now", "energy": "air"}),
    "cylinder with a spring and air": (
        "cylinder",
        {"air": "air", "without___air": "drops home", "energy": "power"},
    ),
    "cylinder that drops out": (
        "cylinder",
        {"air": "air", "without___air": "drops out", "fall": ms(300, 900), "held___by": name("pin.is_out")},
    ),
    "cylinder that keeps its place without air": (
        "cylinder",
        {"opposite": "clamp_open_now", "air": "air", "without___air": "holds"},
    ),
    "cylinder that drifts": (
        "cylinder",
        {
            "opposite": "clamp_open_now",
            "air": "air",
            "without___air": "drifts",
            "held___by": name("pin.is_out"),
        },
    ),
    "cylinder with a closed centre": ("cylinder", {"opposite": "clamp_open_now", "valve": "closed centre"}),
    "cylinder with an open centre": (
        "cylinder",
        {"opposite": "clamp_open_now", "valve": "open centre", "without___air": "drops home"},
    ),
    "cylinder that a pin holds": ("cylinder", {"held___by": name("pin.is_out")}),
    "cylinder with a hose that may burst": ("cylinder", {"without___air": "drops home"}),
    "valve with two solenoids": ("valve", {"opposite": "air_off", "energy": "air"}),
    "supply that nothing switches": ("supply", {"while": None}),
    "supply found off": ("supply", {"initially": "off"}),
    "supply at once": ("supply", {"rise": ms(0, 0), "fall": ms(0, 0)}),
    "supply that nothing switches, at once": ("supply", {"while": None, "rise": ms(0, 0), "fall": ms(0, 0)}),
    "vacuum that lasts without air": ("vacuum", {"air": "air", "hold": ms(5000, 9000)}),
    "vacuum that a valve draws": ("vacuum", {"output": None, "while": name("ejector.is_open"), "air": "air"}),
    "vacuum that decays at once": ("vacuum", {"air": "air", "hold": ms(50, 90), "decay": ms(0, 0)}),
    "drive with a roll": ("drive", {"stores": "inertia"}),
    "decurler found home": ("decurler", {"initially": "home", "home": None}),
    "web guide that cannot be centred": ("web_guide", {"centre": None, "centred": None, "energy": "air"}),
    "load that nothing raises": ("load", {"raised___by": None, "raise": None}),
    "load found dropped": ("load", {"initially": "dropped"}),
    "rotary knife without band": ("rotary_knife", {"band": None, "energy": "air"}),
    "drive that jogs": ("drive", {"jog": "unwind_jog", "jog___stop": ms(50, 200), "energy": "air"}),
    "guard with an escape release": ("guard", {"escape": "release"}),
    "hold-to-run with two positions": ("hold_to_run", {"positions": None}),
    "two-hand control of type I": ("two_hand_control", {"kind": "I"}),
    "two-hand control of type II": ("two_hand_control", {"kind": "II"}),
    "mode selector without a gap": ("mode_selector", {"between": None}),
    "light curtain whose muting is always enabled": ("muted_light_curtain", {"enable": None, "muted": None}),
    "guard without lock": ("guard", {"lock": None, "locked": None}),
    "guard that a spring locks": ("guard", {"lock": None, "unlock": "hood_release"}),
    "roll without signal": ("roll", {"low": None, "remaining": None}),
    "sensor at once": ("sensor", {"appears": None, "leaves": None}),
    "drive found stopped": ("drive", {"initially": "stopped"}),
    "selector found on": ("selector", {"initially": "on"}),
}


@pytest.fixture(params=sorted(VARIANTS))
def subject(request: pytest.FixtureRequest) -> Behaviour:
    type_name, changes = VARIANTS[request.param]
    return behaviour(type_name, **changes)  # type: ignore[arg-type]


def _modes(subject: Behaviour) -> dict[str, dict[str, Position]]:
    modes: dict[str, dict[str, Position]] = {}
    for position in subject.positions:
        modes.setdefault(position.mode, {})[position.name] = position
    return modes


def _all_moves(subject: Behaviour) -> Iterator[tuple[Position, Move]]:
    return ((position, move) for position in subject.positions for move in position.moves)


def _failed(position: Position, mode: str) -> str:
    """The name of the position that a failure with `mode` leads to, if that mode has it."""
    return dict(position.fails_as).get(mode, position.name)


def test_an_example_exists_for_every_type_and_no_other() -> None:
    assert set(EXAMPLES) == set(DEVICE_TYPES)


def test_names_in_the_catalogue_are_the_types_own() -> None:
    assert all(name == device_type.name for name, device_type in DEVICE_TYPES.items())


def test_position_names_are_unique_in_their_mode(subject: Behaviour) -> None:
    names = [(position.mode, position.name) for position in subject.positions]
    assert len(names) == len(set(names))


def test_the_initial_position_is_a_healthy_rest(subject: Behaviour) -> None:
    assert _modes(subject)[""][subject.initial].is_rest


def test_every_move_leads_to_a_position_of_its_mode(subject: Behaviour) -> None:
    modes = _modes(subject)
    assert [move for position, move in _all_moves(subject) if move.to not in modes[position.mode]] == []


def test_no_move_leads_to_where_it_starts(subject: Behaviour) -> None:
    assert [move for position, move in _all_moves(subject) if move.to == position.name] == []


def test_a_move_is_timed_or_an_act_or_driven_by_something(subject: Behaviour) -> None:
    for _, move in _all_moves(subject):
        assert [move.after is not None, move.act is not None].count(True) <= 1
        assert move.after is not None or move.act is not None or move.when


def test_timed_moves_of_a_position_have_different_names(subject: Behaviour) -> None:
    for position in subject.positions:
        names = [move.name for move in position.moves if move.after is not None]
        assert len(names) == len(set(names)), position.name


def test_facts_are_declared_once_and_all_used(subject: Behaviour) -> None:
    used = {fact for position in subject.positions for fact in position.facts}
    assert sorted(subject.facts) == sorted(used)
    assert all(fact.startswith("is_") for fact in subject.facts)


def test_signals_used_are_roles_and_wires_are_used(subject: Behaviour) -> None:
    """A role without a wire is a signal the file does not want; a wire without a role could never come on."""
    used = {role for position in subject.positions for role in position.signals}
    assert {wire.role for wire in subject.wires} <= used


def test_drives_used_are_declared_and_all_used(subject: Behaviour) -> None:
    used = {role for _, move in _all_moves(subject) for role, _ in move.when}
    assert used == {drive.role for drive in subject.drives}


def test_every_healthy_position_is_reachable(subject: Behaviour) -> None:
    """From the initial position by moves, failures and repairs."""
    modes = _modes(subject)
    reached: set[tuple[str, str]] = set()
    waiting = [("", subject.initial)]
    while waiting:
        mode, name = waiting.pop()
        if (mode, name) in reached:
            continue
        reached.add((mode, name))
        position = modes[mode][name]
        waiting += [(mode, move.to) for move in position.moves]
        if mode:
            waiting.append(("", position.repaired_as or name))
        else:
            failed = [(failure.mode, _failed(position, failure.mode)) for failure in subject.failures]
            waiting += [pair for pair in failed if pair[0] in modes and pair[1] in modes[pair[0]]]
    assert {(position.mode, position.name) for position in subject.positions} - reached == set()


def test_failures_have_a_mode_or_a_contact(subject: Behaviour) -> None:
    modes, roles = _modes(subject), {wire.role for wire in subject.wires}
    for failure in subject.failures:
        if failure.contact is None:
            assert failure.mode in modes
        else:
            assert failure.contact in roles
            assert failure.mode in {"stuck_on", "stuck_off"}


def test_failure_names_are_unique_and_every_mode_has_a_failure(subject: Behaviour) -> None:
    names = [failure.name for failure in subject.failures]
    assert len(names) == len(set(names))
    assert set(_modes(subject)) - {""} == {
        failure.mode for failure in subject.failures if failure.contact is None
    }


def test_every_wire_can_be_stuck_on_and_off(subject: Behaviour) -> None:
    stuck = {(failure.contact, failure.mode) for failure in subject.failures if failure.contact}
    assert stuck == set(product((wire.role for wire in subject.wires), ("stuck_on", "stuck_off")))


def test_every_failure_can_happen_somewhere(subject: Behaviour) -> None:
    modes = _modes(subject)
    for failure in subject.failures:
        if failure.contact is None:
            mode = modes[failure.mode]
            assert any(_failed(position, failure.mode) in mode for position in modes[""].values()), failure


def test_what_a_failure_leads_to_exists(subject: Behaviour) -> None:
    modes = _modes(subject)
    for position in subject.positions:
        assert position.mode == "" or position.fails_as == ()
        assert all(name in modes[mode] for mode, name in position.fails_as), position.name


def test_repair_leads_to_a_healthy_position(subject: Behaviour) -> None:
    modes = _modes(subject)
    for position in subject.positions:
        if position.mode:
            assert (position.repaired_as or position.name) in modes[""], position
        else:
            assert position.repaired_as is None


def test_a_failure_alone_moves_nothing_to_an_end(subject: Behaviour) -> None:
    """A part is found where it was: no failure carries it to another end in no time."""
    places = {"is_home", "is_out", "is_open", "is_closed", "is_stopped", "is_at_speed", "is_held"}
    modes = _modes(subject)
    for position in modes[""].values():
        for mode in (failure.mode for failure in subject.failures if failure.contact is None):
            failed = modes[mode].get(_failed(position, mode))
            if failed is not None:
                assert failed.facts & places <= position.facts & places, (position.name, mode)


def test_no_loop_of_moves_can_take_no_time(subject: Behaviour) -> None:
    """For every set of drives: the moves that they force at once form no cycle."""
    roles = [drive.role for drive in subject.drives]
    for values in product((False, True), repeat=len(roles)):
        held = dict(zip(roles, values, strict=True))
        graph = nx.DiGraph(
            ((position.mode, position.name), (position.mode, move.to))
            for position, move in _all_moves(subject)
            if _is_forced_at_once(move, held)
        )
        assert nx.is_directed_acyclic_graph(graph), held


def _is_forced_at_once(move: Move, held: dict[str, bool]) -> bool:
    no_time = move.after is None or move.after.latest_us == 0
    return move.act is None and no_time and all(held[role] == value for role, value in move.when)


def test_at_most_one_driven_move_holds_at_a_time(subject: Behaviour) -> None:
    """Otherwise the order in the file of the type would decide what a machine does."""
    roles = [drive.role for drive in subject.drives]
    for position in subject.positions:
        driven = [move for move in position.moves if move.after is None and move.act is None]
        for values in product((False, True), repeat=len(roles)):
            held = dict(zip(roles, values, strict=True))
            assert sum(_is_forced_at_once(move, held) for move in driven) <= 1, position.name


def test_moving_facts_are_facts(subject: Behaviour) -> None:
    assert set(subject.moving_facts) <= set(subject.facts)


def _fields(fields: tuple[Field, ...]) -> Iterator[Field]:
    for field in fields:
        yield field
        yield from _fields(field.members)


@pytest.mark.parametrize("name", sorted(DEVICE_TYPES))
def test_every_field_has_one_line_of_meaning_and_words_have_choices(name: str) -> None:
    fields = list(_fields(DEVICE_TYPES[name].fields))
    assert len({field.name for field in DEVICE_TYPES[name].fields}) == len(DEVICE_TYPES[name].fields)
    for field in fields:
        assert field.meaning.strip() and "\n" not in field.meaning
        assert bool(field.choices) == (field.kind is FieldKind.WORD)
        assert bool(field.members) == (field.kind is FieldKind.GROUP)


@pytest.mark.parametrize("name", sorted(DEVICE_TYPES))
def test_the_example_uses_only_fields_of_its_type_and_all_required_ones(name: str) -> None:
    fields = DEVICE_TYPES[name].fields
    known = {field.name for field in fields} | {
        f"{field.name}.{member.name}" for field in fields for member in field.members
    }
    assert set(EXAMPLES[name]) <= known
    assert {field.name for field in fields if field.required} <= set(EXAMPLES[name])


@pytest.mark.parametrize(
    "name",
    sorted(name for name in DEVICE_TYPES if any(f.name == "energy" for f in DEVICE_TYPES[name].fields)),
)
def test_energy_is_a_condition_beside_the_output(name: str) -> None:
    subject = behaviour(name, energy="air")
    texts = [sorted(part.text for part in names_in(drive.condition)) for drive in subject.drives]
    assert all("air.is_on" in text and len(text) == 2 for text in texts)


@pytest.mark.parametrize("name", sorted(DEVICE_TYPES))
def test_the_behaviour_is_the_same_every_time(name: str) -> None:
    part = device(name)
    assert DEVICE_TYPES[name].behaviour(part, MACHINE) == DEVICE_TYPES[name].behaviour(part, MACHINE)
