"""`seqcheck schema`: the JSON Schema of a sequence file, for editors."""

from __future__ import annotations

import json
import sys

from seqcheck.cli.command_end import end_with


def schema() -> None:
    """Print the JSON Schema of a sequence file.

    An editor that knows it completes names and marks misspelt ones while they are typed.
    """

    def work() -> int:
        from seqcheck.reader.schema import json_schema

        sys.stdout.write(json.dumps(json_schema(), indent=2) + "\n")
        return 0

    end_with(work)
