"""The reference tables of README.md, made from the catalogues and every_type.yaml.

`python tests/readme/reference_tables.py` puts them into README.md anew.
"""

import sys
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(REPOSITORY))

from seqcheck.kernel.build import behaviours_of  # noqa: E402  the path comes first
from seqcheck.language.field import Field  # noqa: E402
from seqcheck.plant.behaviour import Behaviour  # noqa: E402
from seqcheck.plant.catalogue import DEVICE_TYPES  # noqa: E402
from seqcheck.reader.read import read_sequence_text  # noqa: E402
from seqcheck.requirements.catalogue import REQUIREMENT_KINDS  # noqa: E402

README = REPOSITORY / "README.md"
EXAMPLES = Path(__file__).with_name("every_type.yaml")
START, END = "<!-- made by tests/readme/reference_tables.py: {} -->", "<!-- end of {} -->"


def tables() -> dict[str, str]:
    """The text of each table by its name."""
    return {"devices": device_table(), "requirements": requirement_table()}


def device_table() -> str:
    """A row for each device type."""
    text = EXAMPLES.read_text(encoding="utf-8")
    sequence = read_sequence_text(text, "every_type.yaml")
    behaviours = {behaviour.device: behaviour for behaviour in behaviours_of(sequence)}
    rows = ["| type | example | facts | acts | failures |", "| --- | --- | --- | --- | --- |"]
    for device in sequence.devices:
        meaning = DEVICE_TYPES[device.type_name].meaning
        shown = behaviours[device.name]
        cells = (f"`{device.type_name}`: {meaning}", f"`{_line(text, device.place.line)}`", *_behaviour_cells(shown))
        rows.append(f"| {' | '.join(cells)} |")
    return "\n".join(rows)


def _behaviour_cells(behaviour: Behaviour) -> tuple[str, str, str]:
    acts = {move.act for position in behaviour.positions for move in position.moves if move.act}
    failures = [failure.name for failure in behaviour.failures if failure.contact is None]
    return ", ".join(behaviour.facts) or "-", ", ".join(sorted(acts)) or "-", ", ".join(failures) or "-"


def requirement_table() -> str:
    """A row for each requirement kind."""
    text = EXAMPLES.read_text(encoding="utf-8")
    sequence = read_sequence_text(text, "every_type.yaml")
    rows = ["| kind | example | fields |", "| --- | --- | --- |"]
    for requirement in sequence.requirements:
        kind = REQUIREMENT_KINDS[requirement.kind]
        fields = "; ".join(_field_text(field) for field in kind.fields)
        given = "; `given` must be stated" if kind.needs_given else ""
        example = _line(text, requirement.place.line).removeprefix("- ")
        rows.append(f"| `{kind.name}`: {kind.meaning} | `{example}` | {fields}{given} |")
    return "\n".join(rows)


def _field_text(field: Field) -> str:
    choices = f" ({', '.join(field.choices)})" if field.choices else ""
    return f"`{field.name}` {field.meaning}{choices}" + ("" if field.required else " (optional)")


def _line(text: str, number: int) -> str:
    return text.splitlines()[number - 1].strip()


def with_tables(readme: str) -> str:
    """README.md with the tables as they should be."""
    for name, table in tables().items():
        start, end = START.format(name), END.format(name)
        before, rest = readme.split(start)
        readme = f"{before}{start}\n{table}\n{end}{rest.split(end)[1]}"
    return readme


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
