"""The acceptance test on paper: HTML and Markdown hold every check, and texts of a file stay texts."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from report.pin_protocol import HOSTILE, PIN, hostile_text, protocol

from seqcheck.cli.main import run
from seqcheck.report.protocol_markdown import markdown_text, protocol_markdown
from seqcheck.report.protocol_page import protocol_page

ALLOWED = {
    *("html", "head", "meta", "title", "link", "style", "body", "a", "header", "h1", "h2", "h3", "h4", "dl", "dt", "dd", "br"),
    *("span", "section", "strong", "nav", "ol", "ul", "li", "main", "p", "div", "table", "caption", "thead", "tbody", "tr"),
    *("th", "td", "wbr", "article"),
}


class Seen(HTMLParser):
    """Elements, attributes and text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: set[str] = set()
        self.text = ""
        self.addresses: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes |= {name for name, _ in attrs}
        self.addresses += [value or "" for name, value in attrs if name in ("href", "src")]

    def handle_data(self, data: str) -> None:
        self.text += data


def seen(html: str) -> Seen:
    parser = Seen()
    parser.feed(html)
    return parser


def rendered(markdown: str) -> Seen:
    return seen(MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(markdown))


def plain(text: str) -> str:
    return " ".join(text.split())


def test_page_holds_every_check_and_a_place_to_sign_for_each() -> None:
    page = seen(protocol_page(protocol()))
    assert page.tags.count("article") == protocol().checks
    assert page.text.count("Signed, date:") == protocol().checks
    for set_up in protocol().set_ups:
        for check in set_up.checks:
            lines = [text for line in check.in_steps for text in (line.step, line.alarm, line.safe, line.on_the_way)]
            for text in (check.title, *check.do, *check.expect, *check.warn, *lines):
                assert plain(text) in plain(page.text)


def test_page_needs_nothing_else_and_has_no_script() -> None:
    page = seen(protocol_page(protocol()))
    assert set(page.tags) <= ALLOWED
    assert all(address.startswith("#") or address == "data:," for address in page.addresses)


def test_caution_stands_before_the_first_check() -> None:
    for text in (seen(protocol_page(protocol())).text, rendered(protocol_markdown(protocol())).text):
        assert -1 < text.index("local lock-out practice") < text.index("Set-up 1")
        assert "qualified person decide" in text


def test_page_shows_hostile_names_as_text() -> None:
    page = seen(protocol_page(protocol(hostile_text())))
    assert set(page.tags) <= ALLOWED
    assert not {name for name in page.attributes if name.startswith("on")}
    assert page.text.count(HOSTILE) >= 5  # title, heading, requirement, alarm, reason, prompt


def test_markdown_shows_hostile_names_as_text() -> None:
    made = rendered(protocol_markdown(protocol(hostile_text())))
    assert not set(made.tags) & {"script", "img", "a", "code", "em"}
    assert not made.addresses
    assert made.text.count(HOSTILE) >= 5


def test_markdown_holds_every_check() -> None:
    made = plain(rendered(protocol_markdown(protocol())).text)
    for set_up in protocol().set_ups:
        for check in set_up.checks:
            lines = [text for line in check.in_steps for text in (line.step, line.alarm, line.safe, line.on_the_way)]
            for text in (check.title, *check.do, *check.expect, *check.warn, *lines):
                assert plain(text) in made
    assert made.count("signed, date:") == protocol().checks


MARKED = ("1. a", "1) k", "- b", "+ c", "# d", "> e", "a_b_ _c_ **d**", "x | y", "a\\|b", "&lt; &amp;", "=== ---", "~~z~~")


@pytest.mark.parametrize("text", (HOSTILE, *MARKED))
def test_markdown_of_any_text_is_that_text(text: str) -> None:
    made = rendered(markdown_text(text))
    assert (made.tags, made.text.strip()) == (["p"], text)


def test_command_writes_both_and_ends_as_the_check_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "pin.yaml"
    file.write_text(PIN, encoding="utf-8")
    assert run(["protocol", str(file), "--jobs", "1", "--date", "2030-01-31"]) == 1  # V1 is violated
    told = capsys.readouterr().out
    assert "17 checks in 9 set-ups" in told and "not proven, so nothing to accept: V1" in told and "Caution" in told
    assert "<h1>Acceptance test: Pin</h1>" in (tmp_path / "pin_protocol.html").read_text(encoding="utf-8")
    assert (tmp_path / "pin_protocol.md").read_text(encoding="utf-8").startswith("# Acceptance test: Pin\n")


def test_command_refuses_to_write_over_its_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "pin.yaml"
    file.write_text(PIN, encoding="utf-8")
    assert run(["protocol", str(file), "--markdown", str(file)]) == 2
    assert "a file of its own" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == PIN
