"""The two large parts of a network state: what the controller holds, and where the machine stands.

Few different parts make many states. A part knows its hash, and a network keeps one object of each (`Network.control`,
`Network.positions`), so that comparing states and looking things up costs next to nothing.
"""

from __future__ import annotations


class Control:
    """Memory cells of the controller, outputs as computed by the last read, and outputs as last written. Never changed."""

    __slots__ = ("_hash", "computed", "memory", "written")

    def __init__(self, memory: tuple[int, ...], computed: int, written: int) -> None:
        """Take the values and work out the hash."""
        self.memory = memory
        self.computed = computed
        self.written = written
        self._hash = hash((memory, computed, written))

    def __hash__(self) -> int:
        """The hash worked out at the start."""
        return self._hash

    def __eq__(self, other: object) -> bool:
        """Equal values; mostly it is the same object."""
        if self is other:
            return True
        if not isinstance(other, Control) or self._hash != other._hash:
            return False
        mine = (self.computed, self.written, self.memory)
        return mine == (other.computed, other.written, other.memory)

    def __reduce__(self) -> tuple[type[Control], tuple[tuple[int, ...], int, int]]:
        """How to make it in another process."""
        return Control, (self.memory, self.computed, self.written)

    def __repr__(self) -> str:
        """The values."""
        return f"Control{(self.memory, self.computed, self.written)}"


class Positions:
    """The position of each device and circuit. Never changed."""

    __slots__ = ("_hash", "numbers")

    def __init__(self, numbers: tuple[int, ...]) -> None:
        """Take the numbers and work out the hash."""
        self.numbers = numbers
        self._hash = hash(numbers)

    def __hash__(self) -> int:
        """The hash worked out at the start."""
        return self._hash

    def __eq__(self, other: object) -> bool:
        """Equal values; mostly it is the same object."""
        if self is other:
            return True
        return isinstance(other, Positions) and self._hash == other._hash and self.numbers == other.numbers

    def __reduce__(self) -> tuple[type[Positions], tuple[tuple[int, ...]]]:
        """How to make it in another process."""
        return Positions, (self.numbers,)

    def __repr__(self) -> str:
        """The values."""
        return f"Positions{self.numbers}"
