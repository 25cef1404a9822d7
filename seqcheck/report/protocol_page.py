"""The acceptance test as one HTML file that needs nothing else. Every text of the file is escaped by the template engine."""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from seqcheck.report.protocol import Protocol

CONTENTS = (
    ("assumed", "What the times rest on"),
    ("io", "Inputs and outputs"),
    ("sound", "Checks of the sound machine"),
    ("faults", "Checks of faults"),
    ("not-tested", "Faults without a check"),
    ("alarms", "Alarms and their causes"),
    ("sign", "Sign-off"),
)

ROLES = ("Tested by", "Witnessed by", "Released by")


def protocol_page(protocol: Protocol) -> str:
    """The HTML text of `protocol`, in the style of the review."""
    environment = Environment(
        loader=PackageLoader("seqcheck.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(breaks=_breaks, names=_names)
    style = "".join(_package_text(name) for name in ("page.css", "protocol.css"))
    return environment.get_template("protocol.html.j2").render(
        protocol=protocol, head=protocol.head, contents=CONTENTS, roles=ROLES, css=Markup(style)
    )


def _breaks(text: str) -> Markup:
    """A name that may be broken over lines after each dot and underscore."""
    return Markup(re.sub(r"([._])(?=\w)", r"\1<wbr>", str(escape(text))))


def _names(names: Iterable[str]) -> Markup:
    return Markup(", ").join(_breaks(name) for name in names) or Markup("-")


def _package_text(name: str) -> str:
    return files("seqcheck.report").joinpath("templates", name).read_text(encoding="utf-8")
