"""Time Petri nets from the literature, and three made for this project's check values (section 1).

Units are those of the papers; only ratios matter.
"""

from __future__ import annotations

from reference.petri_net import Net, Transition

Tokens = dict[str, int]


def _t(name: str, earliest: int, latest: int | None, before: Tokens, after: Tokens) -> Transition:
    return Transition(name=name, before=before, after=after, earliest=earliest, latest=latest)


NET_B = Net(
    places=("p1", "p2", "p3", "p4", "p5"),
    initial={"p1": 1, "p2": 2},
    transitions=(
        _t("t1", 4, 9, {"p1": 1, "p2": 2}, {"p3": 1, "p4": 1, "p5": 1}),
        _t("t2", 0, 2, {"p4": 1}, {"p2": 1}),
        _t("t3", 1, 3, {"p5": 1}, {"p2": 1}),
        _t("t4", 0, 2, {"p3": 1}, {"p3": 1}),
        _t("t5", 0, 3, {"p3": 1}, {"p1": 1}),
    ),
)
"""Source: Berthomieu & Menasche, IFIP 1983, pp. 41-46; also Berthomieu & Diaz, IEEE TSE 17(3), 1991 (from memory)."""


def level_crossing(trains: int, enters: tuple[int, int] = (3, 5)) -> Net:
    """A crossing with a gate and `trains` tracks; `enters` is the time from approach to crossing.

    Source: Berthomieu & Vernadat, TACAS 2003, LNCS 2619 (net and counts from memory).
    """
    shared = ("far", "in", "coming", "leaving", "up", "lowering", "down", "raising")
    places = [*shared]
    initial = {"far": trains, "up": 1}
    transitions: list[Transition] = []
    for number in range(1, trains + 1):
        places += [f"{place}{number}" for place in "fcol"]
        initial[f"f{number}"] = 1
        transitions += _train(number, trains, enters)
    return Net(places=tuple(places), initial=initial, transitions=(*transitions, *_GATE))


_GATE = (
    _t("Down", 0, 0, {"up": 1, "coming": 1}, {"lowering": 1}),
    _t("Down-again", 0, 0, {"raising": 1, "coming": 1}, {"lowering": 1}),
    _t("L", 1, 2, {"lowering": 1}, {"down": 1}),
    _t("Up", 0, 0, {"down": 1, "leaving": 1}, {"raising": 1}),
    _t("R", 1, 2, {"raising": 1}, {"up": 1}),
)


def _train(number: int, trains: int, enters: tuple[int, int]) -> list[Transition]:
    far, close, on, left = (f"{place}{number}" for place in "fcol")
    others = trains - 1
    found = [
        _t(f"App-first{number}", 0, None, {far: 1, "far": trains}, {close: 1, "far": others, "in": 1, "coming": 1}),
        _t(f"In{number}", *enters, {close: 1}, {on: 1}),
        _t(f"Ex{number}", 2, 4, {on: 1}, {left: 1}),
        _t(f"Exit-last{number}", 0, 0, {left: 1, "in": 1, "far": others}, {far: 1, "far": trains, "leaving": 1}),
    ]
    if others:
        found += [
            _t(f"App-other{number}", 0, None, {far: 1, "far": 1, "in": 1}, {close: 1, "in": 2}),
            _t(f"Exit-other{number}", 0, 0, {left: 1, "in": 2}, {far: 1, "in": 1, "far": 1}),
        ]
    return found


def fischer(write: int, wait: int) -> Net:
    """Mutual exclusion of two processes by timing: set `id` within `write`, then wait exactly `wait`, then look.

    Source: Lamport, ACM TOCS 5(1), 1987 (rule from memory); this encoding is the project's own.
    """
    states = ("idle", "req", "pend", "wait", "chk", "cs", "rel")
    processes = (1, 2)
    places = ("id0", "id1", "id2", *(f"{state}{number}" for number in processes for state in states))
    transitions = [part for number in processes for part in _process(number, write, wait)]
    return Net(places=places, initial={"id0": 1, "idle1": 1, "idle2": 1}, transitions=tuple(transitions))


def _process(me: int, write: int, wait: int) -> list[Transition]:
    holders = ("id0", "id1", "id2")
    mine = f"id{me}"
    found = [
        _t(f"try{me}", 0, None, {f"idle{me}": 1, "id0": 1}, {f"req{me}": 1, "id0": 1}),
        _t(f"tw{me}", 0, write, {f"req{me}": 1}, {f"pend{me}": 1}),
        _t(f"tc{me}", wait, wait, {f"wait{me}": 1}, {f"chk{me}": 1}),
        _t(f"ex{me}", 0, None, {f"cs{me}": 1}, {f"rel{me}": 1}),
    ]
    for holder in holders:
        following = f"cs{me}" if holder == mine else f"idle{me}"
        found += [
            _t(f"set{me}_{holder}", 0, 0, {f"pend{me}": 1, holder: 1}, {f"wait{me}": 1, mine: 1}),
            _t(f"ck{me}_{holder}", 0, 0, {f"chk{me}": 1, holder: 1}, {following: 1, holder: 1}),
            _t(f"rl{me}_{holder}", 0, 0, {f"rel{me}": 1, holder: 1}, {f"idle{me}": 1, "id0": 1}),
        ]
    return found


def train_gate(enters: tuple[int, int], down: tuple[int, int]) -> Net:
    """Train, gate and controller as one net with closed whole-number bounds; the controller lowers after exactly 1.

    `enters`: from approach to crossing; `down`: from lower to down. The train is out within 2 and gone within 1 more;
    the next one comes only when the gate is up again. Raising begins within 1 of the exit and takes 1..2.
    Source: Alur & Dill, TCS 126, 1994 (constants from memory); closed whole-number variant by the project.
    """
    return Net(
        places=("s0", "s1", "s2", "s3", "c0", "c1", "c2", "up", "lowering", "closed", "raising", "approach", "exit"),
        initial={"s0": 1, "c0": 1, "up": 1},
        transitions=(
            _t("approach", 0, None, {"s0": 1, "c0": 1}, {"s1": 1, "c1": 1}),
            _t("in", *enters, {"s1": 1}, {"s2": 1}),
            _t("out", 0, 2, {"s2": 1}, {"s3": 1}),
            _t("exit", 0, 1, {"s3": 1}, {"s0": 1, "exit": 1}),
            _t("lower", 1, 1, {"c1": 1, "up": 1}, {"lowering": 1, "c2": 1}),
            _t("down", *down, {"lowering": 1}, {"closed": 1}),
            _t("raise", 0, 1, {"exit": 1, "closed": 1, "c2": 1}, {"raising": 1}),
            _t("up", 1, 2, {"raising": 1}, {"up": 1, "c0": 1}),
        ),
    )


def time_out(lo: int, hi: int) -> Net:
    """A sender that repeats its message after a time-out, over lines that lose messages; the longest round trip is 3.

    Source: Merlin & Farber, IEEE Trans. Comm. 24(9), 1976 (rule from memory); reduced net by the project.
    """
    return Net(
        places=("ready", "wait", "msg", "proc", "ack"),
        initial={"ready": 1},
        transitions=(
            _t("send", 0, None, {"ready": 1}, {"wait": 1, "msg": 1}),
            _t("lose-m", 0, 1, {"msg": 1}, {}),
            _t("recv", 0, 1, {"msg": 1}, {"proc": 1}),
            _t("ack", 0, 1, {"proc": 1}, {"ack": 1}),
            _t("lose-a", 0, 1, {"ack": 1}, {}),
            _t("rack", 0, 1, {"ack": 1, "wait": 1}, {"ready": 1}),
            _t("time-out", lo, hi, {"wait": 1}, {"wait": 1, "msg": 1}),
        ),
    )
