"""seqcheck: the control sequence of a web splicer, checked exhaustively against its machine.

These are the public names. Each loads its module when it is first asked for, so `import seqcheck` alone costs nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from seqcheck.check.budget import BudgetOptions, budget_sequence
    from seqcheck.check.check import check_sequence
    from seqcheck.check.options import CheckOptions
    from seqcheck.check.outcome import Outcome, RequirementOutcome
    from seqcheck.check.runs import runs
    from seqcheck.diagrams.diagram import draw_sequence
    from seqcheck.errors import Place, Problem, SeqcheckError, SequenceFileError, UsageError
    from seqcheck.explore.limits import Limits
    from seqcheck.language.sequence import Sequence
    from seqcheck.reader.read import read_sequence
    from seqcheck.requirements.verdict import Verdict
    from seqcheck.simulate.sequence_run import simulate_sequence

__all__ = [
    "BudgetOptions",
    "CheckOptions",
    "Limits",
    "Outcome",
    "Place",
    "Problem",
    "RequirementOutcome",
    "SeqcheckError",
    "Sequence",
    "SequenceFileError",
    "UsageError",
    "Verdict",
    "budget_sequence",
    "check_sequence",
    "draw_sequence",
    "read_sequence",
    "runs",
    "simulate_sequence",
]

_MODULES = {
    "BudgetOptions": "seqcheck.check.budget",
    "CheckOptions": "seqcheck.check.options",
    "Limits": "seqcheck.explore.limits",
    "Outcome": "seqcheck.check.outcome",
    "Place": "seqcheck.errors",
    "Problem": "seqcheck.errors",
    "RequirementOutcome": "seqcheck.check.outcome",
    "SeqcheckError": "seqcheck.errors",
    "Sequence": "seqcheck.language.sequence",
    "SequenceFileError": "seqcheck.errors",
    "UsageError": "seqcheck.errors",
    "Verdict": "seqcheck.requirements.verdict",
    "budget_sequence": "seqcheck.check.budget",
    "check_sequence": "seqcheck.check.check",
    "draw_sequence": "seqcheck.diagrams.diagram",
    "read_sequence": "seqcheck.reader.read",
    "runs": "seqcheck.check.runs",
    "simulate_sequence": "seqcheck.simulate.sequence_run",
}


def __getattr__(name: str) -> object:
    """Load a public name."""
    if name not in _MODULES:
        raise AttributeError(f"module 'seqcheck' has no attribute {name!r}")
    found: object = getattr(import_module(_MODULES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """The public names."""
    return __all__
