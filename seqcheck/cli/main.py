"""The program `seqcheck`: its subcommands, and what becomes of every error."""

from __future__ import annotations

import contextlib
import gc
import os
import sys
import traceback
from collections.abc import Sequence
from typing import Annotated

import typer

from seqcheck.cli.adequacy_command import adequacy
from seqcheck.cli.budget_command import budget
from seqcheck.cli.check_command import check
from seqcheck.cli.command_end import OutputClosedError, StoppedByUserError
from seqcheck.cli.diff_command import diff
from seqcheck.cli.draw_command import draw
from seqcheck.cli.exit_code import BAD_INPUT, INTERRUPTED
from seqcheck.cli.explain_command import explain
from seqcheck.cli.export_command import export
from seqcheck.cli.gate_command import gate
from seqcheck.cli.import_command import import_
from seqcheck.cli.protocol_command import protocol
from seqcheck.cli.replay_command import replay
from seqcheck.cli.review_command import review
from seqcheck.cli.schema_command import schema
from seqcheck.cli.simulate_command import simulate
from seqcheck.cli.track_command import track
from seqcheck.cli.version import print_version
from seqcheck.errors import SeqcheckError, SequenceFileError
from seqcheck.quantities.unit_system import UnitSystem, show_units

DEBUG = "--debug"

Units = Annotated[UnitSystem, typer.Option(help="Units of lengths, speeds and forces in what is shown.")]

EPILOG = "Example: seqcheck check sequences/wipes_line_butt_splice.yaml"

app = typer.Typer(
    name="seqcheck",
    help="Check the control sequence of a web splicer exhaustively against its machine, simulate it, draw it.",
    epilog=EPILOG,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,  # plain help needs no rich, which would take longer to load than all else
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)
app.command(epilog="Example: seqcheck check line3.yaml --only S1 --json outcome.json")(check)
app.command(epilog="Example: seqcheck simulate line3.yaml --until 20s --act 1s:splice_request.presses")(
    simulate
)
app.command(epilog="Example: seqcheck budget line3.yaml --svg budget.svg")(budget)
app.command(epilog="Example: seqcheck adequacy line3.yaml --json adequacy.json")(adequacy)
app.command(epilog="Example: seqcheck explain line3.yaml S1")(explain)
app.command(epilog="Example: seqcheck replay line3.yaml monday.csv --jitter 2ms --suggest")(replay)
app.command(epilog="Example: seqcheck draw line3.yaml --into drawings")(draw)
app.command(epilog="Example: seqcheck track line3.yaml --json counts.json")(track)
app.command(epilog="Example: seqcheck review line3.yaml --date 2030-01-31 --json review.json")(review)
app.command(epilog="Example: seqcheck protocol line3.yaml --date 2030-01-31")(protocol)
app.command(epilog="Example: seqcheck diff line3_old.yaml line3.yaml")(diff)
app.command(epilog="Example: seqcheck gate sequences --base origin/main --markdown summary.md")(gate)
app.command(epilog="Example: seqcheck export line3.yaml -o line3.st")(export)
app.command("import", epilog="Example: seqcheck import line3.st -o line3_charts.yaml")(import_)
app.command(epilog="Example: seqcheck schema > seqcheck.schema.json")(schema)


@app.callback()
def options(
    version: bool = typer.Option(
        False, "--version", callback=print_version, is_eager=True, help="Print the version and end."
    ),
    units: Units = UnitSystem.METRIC,
    debug: bool = typer.Option(False, DEBUG, help="Show the traceback of an unexpected error."),
) -> None:
    """Check the control sequence of a web splicer exhaustively against its machine, simulate it, draw it."""
    del version, debug  # both are dealt with before this runs
    show_units(units)


def main() -> None:
    """Run the program with the arguments it was started with, and exit."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    code = run(sys.argv[1:])
    # A search leaves millions of objects that point at one another; looking through them all at the end helps nobody.
    gc.freeze()
    sys.exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run the program; the exit code. Every error ends here, in words."""
    own, files = _split(arguments)
    try:
        app(args=[*(argument for argument in own if argument != DEBUG), *files], prog_name="seqcheck")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else BAD_INPUT
    except Exception as error:
        return _failed(error, is_debug=DEBUG in own)
    return 0


def _split(arguments: Sequence[str]) -> tuple[list[str], list[str]]:
    """Everything before `--`, where options may stand, and the rest."""
    where = arguments.index("--") if "--" in arguments else len(arguments)
    return list(arguments[:where]), list(arguments[where:])


def _failed(error: Exception, *, is_debug: bool) -> int:
    match error:
        case OutputClosedError():
            _silence_output()
        case StoppedByUserError():
            _say(str(error))
            return INTERRUPTED
        case SequenceFileError():
            sys.stderr.write(f"{error}\n")
        case SeqcheckError():
            _say(str(error))
        case OSError():
            _say(f"{error.filename or 'the system'}: {error.strerror or error}")
        case MemoryError():
            _say("there is not enough memory; check fewer requirements at once, or set --most-memory")
        case _:
            if is_debug:
                traceback.print_exception(error)
            _say(
                f"an unexpected error ({type(error).__name__}: {error}); please report it with the file "
                f"and the output of the same command with {DEBUG}"
            )
    return BAD_INPUT


def _say(text: str) -> None:
    sys.stderr.write(f"seqcheck: {text}\n")


def _silence_output() -> None:
    """Let the interpreter flush what is left to nowhere instead of complaining."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
