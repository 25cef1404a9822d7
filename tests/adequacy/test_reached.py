"""Going on from where a change makes a difference: what nobody is suspected of there, nobody notices."""

from __future__ import annotations

from pathlib import Path

from seqcheck.adequacy.change import Change
from seqcheck.adequacy.changed_core import ChangedCore, divergence
from seqcheck.adequacy.changes import changes_of
from seqcheck.adequacy.prepared import Prepared, prepare
from seqcheck.adequacy.try_change import changed_trial
from seqcheck.explore.limits import Limits
from seqcheck.reader.read import read_sequence_text

TESTS = Path(__file__).parents[1]

MORE = """
  - {id: N1, never: press.is_moving AND hood.is_open AND main.ready.X AND press_close, under: any one fault}
  - {id: N2, no: main.held.X, before: main.pressing.X, since: main.ready.X, under: fault press.jams}
  - {id: N3, when: main.pressing.X, then: press_late OR NOT main.pressing.X, within: 170 ms, under: any one fault}
  - {id: N4, between: main.held.X, and: main.ready.X, at least: 50 ms, under: any one fault, given: anything}
"""


def prepared_press() -> Prepared:
    """The press with requirements of several kinds under failures."""
    text = (TESTS / "adequacy" / "press.yaml").read_text(encoding="utf-8")
    return prepare(read_sequence_text(text + MORE, "press.yaml"), (), Limits(), with_failures=True, say=lambda _: None)


def told(prepared: Prepared, change: Change) -> list[tuple[bool, bool]]:
    """For each batch that the change can influence: whether it may be noticed, and whether it is."""
    found = []
    for known in prepared.known:
        trial = changed_trial(known, change, known.trial.heard)
        if trial is None or not known.has_failures or not isinstance(trial.core, ChangedCore):
            continue
        begun = trial.first_notice(with_failures=False).begun
        may = trial.may_notice(known.reached, divergence(trial.network, change), begun)
        found.append((may is not None, trial.first_notice(with_failures=True).notice is not None))
        known.tidy()
    return found


def test_nothing_is_noticed_that_was_not_suspected() -> None:
    prepared = prepared_press()
    assert prepared.not_held == ()
    pairs = [pair for change in changes_of(prepared.sequence) for pair in told(prepared, change)]
    assert (False, True) not in pairs
    assert pairs.count((False, False)) > 20, "else nothing was saved"
    assert pairs.count((True, True)) > 3, "else nothing was put to the test"
