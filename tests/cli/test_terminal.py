"""On a terminal tables follow its width and marks get colours; anywhere else, and with NO_COLOR, the text is plain."""

import contextlib
import io
import re
from collections.abc import Iterable

import pytest
from cli.made_outcome import OUTCOME

from seqcheck.cli.block import Block, Cell, Heading, Table, Tone, lines, one_line
from seqcheck.cli.outcome_text import outcome_blocks
from seqcheck.cli.plain_text import plain_text
from seqcheck.cli.terminal import show

BLOCKS = (
    Heading("[bold]file[/bold].yaml"),
    Table(("id", "verdict"), ((Cell("R1"), Cell("[ok] holds", Tone.GOOD)), (Cell("R10"), Cell("-")))),
    lines("end"),
)
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


class Terminal(io.StringIO):
    """A standard output that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "60")


def shown(blocks: Iterable[Block]) -> str:
    """What a terminal gets."""
    terminal = Terminal()
    with contextlib.redirect_stdout(terminal):
        show(blocks)
    return terminal.getvalue()


def test_plain_text_is_aligned() -> None:
    assert plain_text(BLOCKS) == (
        "[bold]file[/bold].yaml\n\nid   verdict\n---  ----------\nR1   [ok] holds\nR10  -\n\nend\n"
    )


def test_a_terminal_gets_colours_and_the_same_words() -> None:
    text = shown(BLOCKS)
    assert "\x1b[32m[ok] holds" in text
    assert "[bold]file[/bold].yaml" in ESCAPE.sub("", text)


def test_tables_follow_the_width_of_the_terminal() -> None:
    rows = ESCAPE.sub("", shown(outcome_blocks(OUTCOME))).splitlines()
    assert max(len(row) for row in rows) <= 60
    assert any(row.strip().startswith("R2") for row in rows)


def test_no_color_is_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert shown(BLOCKS) == plain_text(BLOCKS)


def test_text_of_a_file_cannot_steer_the_terminal() -> None:
    assert one_line("a\nb\x1b[2J\tc") == "a b\\x1b[2J c"
