"""Names in a controller text: what the standard reserves, and names that nothing else has.

Source: IEC 61131-3, identifiers: letters, digits and single underscores, the case of letters does not matter; keywords and names of
standard functions and function blocks are reserved (the list is from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

_RESERVED_WORDS = """
ABS ABSTRACT ACOS ACTION ADD AND ANY ARRAY ASIN AT ATAN BEGIN BOOL BY BYTE CASE CHAR CLASS CONCAT CONFIGURATION CONSTANT
CONTINUE COS CTD CTU CTUD DATE DELETE DINT DIV DO DT DWORD ELSE ELSIF EN END_ACTION END_CASE END_CLASS END_CONFIGURATION
END_FOR END_FUNCTION END_FUNCTION_BLOCK END_IF END_INTERFACE END_METHOD END_NAMESPACE END_PROGRAM END_REPEAT
END_RESOURCE END_STEP END_STRUCT END_TRANSITION END_TYPE END_VAR END_WHILE ENO EQ EXIT EXP EXPT EXTENDS F_EDGE F_TRIG
FALSE FINAL FIND FOR FROM FUNCTION FUNCTION_BLOCK GE GT IF IMPLEMENTS INITIAL_STEP INSERT INT INTERFACE INTERNAL
INTERVAL LDATE LDT LE LEFT LEN LIMIT LINT LN LOG LREAL LT LTIME LTOD LWORD MAX METHOD MID MIN MOD MOVE MUL MUX NAMESPACE
NE NON_RETAIN NOT NULL OF ON OR OVERLAP OVERRIDE PRIORITY PRIVATE PROGRAM PROTECTED PUBLIC R_EDGE R_TRIG READ_ONLY
READ_WRITE REAL REF REF_TO REPEAT REPLACE RESOURCE RETAIN RETURN RIGHT ROL ROR RS SEL SHL SHR SIN SINGLE SINT SQRT SR
STEP STRING STRUCT SUB SUPER TAN TASK THEN THIS TIME TIME_OF_DAY TO TOD TOF TON TP TRANSITION TRUE TRUNC TYPE UDINT UINT
ULINT UNTIL USING USINT VAR VAR_ACCESS VAR_CONFIG VAR_EXTERNAL VAR_GLOBAL VAR_INPUT VAR_IN_OUT VAR_OUTPUT VAR_TEMP
WCHAR WHILE WITH WORD WSTRING XOR
"""
_RESERVED = frozenset(_RESERVED_WORDS.split())


def identifier(name: str) -> str:
    """The identifier for a name of a sequence file: itself, unless the standard forbids or reserves it.

    Applied to its own result it changes nothing.
    """
    single = re.sub("_+", "_", name).rstrip("_") or "x"
    return f"{single}_1" if single.upper() in _RESERVED else single


@dataclass(slots=True)
class Identifiers:
    """The identifiers of one scope. Mutable while a unit is made; owned by its export."""

    taken: set[str] = field(default_factory=set)

    def add(self, names: Iterable[str]) -> None:
        """Take identifiers that are given."""
        self.taken |= {name.upper() for name in names}

    def new(self, wanted: str) -> str:
        """An identifier that nothing in this scope has: `wanted`, or with the first free number behind it."""
        base = identifier(wanted)
        found, number = base, 1
        while found.upper() in self.taken:
            number += 1
            found = f"{base}_{number}"
        self.taken.add(found.upper())
        return found
