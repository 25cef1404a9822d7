"""The machine in side view, as data: what is drawn, and where, along the path of the web.

The picture: the web comes from a roll on the left, passes the splice head, the accumulator and the line's nip; at a rewind it goes
the other way round. Cylinders and knives of the head stand in a row in the order of the file. What has no place in it (buttons,
sensors, switches) is shown in words beside it. Sizes are those of a picture, not of a machine.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.sequence import Device, Sequence

WEB_Y = 200
TOOL_PITCH, ROLL_WIDTH, NIP_WIDTH, STORE_WIDTH, EDGE = 84, 190, 110, 290, 20
NARROWEST = 760.0
MOST_STRANDS = 10
"""More strands than these would be drawn as grey."""
NIP_WORDS = ("nip", "pull", "feed")
"""A drive whose name has one of these is drawn as a nip of two rollers."""
ROLL_TYPES, TOOL_TYPES = ("drive", "rewind"), ("cylinder", "rotary_knife", "vacuum")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenePart:
    """One device in the picture. `shape`: roll, nip, blade, pad, bar, wheel, store, guard; `x` is its middle."""

    name: str
    shape: str
    x: float
    hazard: str = ""
    curve: str = ""
    """The curve that turns it: the speed of a drive."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """The accumulator: `levels` are (name, ratio of the stroke) pairs; `left` and `right` its outermost rollers."""

    name: str
    left: float
    right: float
    strands: int
    capacity_m: float
    levels: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineScene:
    """Everything that is drawn. `beside` are the devices and circuits that are shown in words only."""

    width: float
    parts: tuple[ScenePart, ...]
    store: Store | None
    head: tuple[float, float] | None
    guard: str
    beside: tuple[str, ...]

    @property
    def web_y(self) -> float:
        """Height of the web between its stations."""
        return WEB_Y


@dataclass(slots=True)
class _Row:
    """Places stations one after another. Mutable: it knows how far it has come."""

    x: float = EDGE

    def next(self, width: float) -> float:
        """The middle of the next station of this width."""
        middle = self.x + width / 2
        self.x += width
        return middle


def machine_scene(sequence: Sequence) -> MachineScene:
    """The picture of the machine of `sequence`."""
    row = _Row()
    devices = sequence.devices
    is_rewind = any(device.type_name == "rewind" for device in devices)
    rolls = [device for device in devices if device.type_name in ROLL_TYPES]
    lines = [device for device in devices if device.type_name == "line_drive"]
    tools = [device for device in devices if device.type_name in TOOL_TYPES]
    parts: list[ScenePart] = []
    if is_rewind:
        parts += [_nip(device, row) for device in lines]
        store = _store(sequence, row)
        head = _head(tools, row, parts)
        parts += [_drive(device, row) for device in rolls]
    else:
        parts += [_drive(device, row) for device in rolls]
        head = _head(tools, row, parts)
        store = _store(sequence, row)
        parts += [_nip(device, row) for device in lines]
    guard = next((device.name for device in devices if device.type_name == "guard"), "")
    drawn = {part.name for part in parts} | {guard} | ({store.name} if store else set())
    names = (*(device.name for device in devices), *(circuit.name for circuit in sequence.circuits))
    return MachineScene(
        width=max(row.x + EDGE, NARROWEST),
        parts=tuple(parts),
        store=store,
        head=head,
        guard=guard if head else "",
        beside=tuple(name for name in names if name not in drawn),
    )


def _drive(device: Device, row: _Row) -> ScenePart:
    if any(word in device.name for word in NIP_WORDS):
        return _nip(device, row)
    return ScenePart(
        name=device.name,
        shape="roll",
        x=row.next(ROLL_WIDTH),
        hazard=device.hazard or "",
        curve=f"{device.name}_speed",
    )


def _nip(device: Device, row: _Row) -> ScenePart:
    x = row.next(NIP_WIDTH)
    return ScenePart(
        name=device.name, shape="nip", x=x, hazard=device.hazard or "", curve=f"{device.name}_speed"
    )


def _head(tools: list[Device], row: _Row, parts: list[ScenePart]) -> tuple[float, float] | None:
    """The tools side by side; the left and right end of the head."""
    if not tools:
        return None
    left = row.x
    parts += [
        ScenePart(name=device.name, shape=_shape(device), x=row.next(TOOL_PITCH), hazard=device.hazard or "")
        for device in tools
    ]
    return left, row.x


def _shape(device: Device) -> str:
    if device.type_name == "rotary_knife":
        return "wheel"
    if device.type_name == "vacuum":
        return "bar"
    return "blade" if device.hazard == "cut" else "pad"


def _store(sequence: Sequence, row: _Row) -> Store | None:
    data = sequence.machine.accumulator
    device = next((part for part in sequence.devices if part.type_name in ("accumulator", "take_up")), None)
    if data is None or device is None:
        return None
    middle = row.next(STORE_WIDTH)
    levels = (
        ("reserve", data.reserve_ratio),
        ("running", data.running_ratio),
        ("filled", data.filled_ratio),
        ("emptied", data.emptied_ratio),
    )
    return Store(
        name=device.name,
        left=middle - 115,
        right=middle + 55,
        strands=min(data.strands, MOST_STRANDS),
        capacity_m=data.strands * data.stroke_m,
        levels=tuple((name, ratio) for name, ratio in levels if ratio is not None),
    )
