"""Where a splice is by encoder counts: what each requirement `reject from` rests on, as counts at each place of its way."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import RequirementOutcome
from seqcheck.errors import UsageError, nearest_name
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.reject import LEAST, MOST, RejectSetting, reject_setting
from seqcheck.web.splice_position import CountWindow, Encoder, LengthRange, Passages, passages

KIND = "reject"


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """The track of one requirement's splices. All None but `judged` where no run has been measured.

    `content`: stored web when the count begins. `spoilt`: counts between which spoilt web may be at the gate. `open_by`: the last
    count at which the gate may be told to open.
    """

    judged: RequirementOutcome
    setting: RejectSetting
    content: LengthRange | None = None
    places: Passages | None = None
    spoilt: CountWindow | None = None
    open_by: int | None = None


def track_sequence(sequence: Sequence, options: CheckOptions) -> tuple[Track, ...]:
    """The tracks of a sequence, one for each requirement `reject from`, or for those in `options.only`.

    Raises UsageError if it has none, or not the one that is asked for.
    """
    known = tuple(part.id for part in sequence.requirements if part.kind == KIND)
    if not known:
        raise UsageError(f"{sequence.file} has no requirement 'reject from', which says where the gate is")
    for wanted in options.only:
        if wanted not in known:
            nearest = nearest_name(wanted, known)
            hint = f"; did you mean {nearest}?" if nearest else ""
            raise UsageError(f"{sequence.file} has no requirement 'reject from' called {wanted!r}{hint}")
    outcome = check_sequence(sequence, replace(options, only=options.only or known, traps=False))
    return tuple(_track(judged, sequence) for judged in outcome.requirements)


def _track(judged: RequirementOutcome, sequence: Sequence) -> Track:
    setting = reject_setting(judged.requirement, sequence)
    content = _content(judged)
    if content is None:
        return Track(judged=judged, setting=setting)
    spoilt = setting.window(content if setting.way.encoder is Encoder.LINE else setting.store)
    return Track(
        judged=judged,
        setting=setting,
        content=content,
        places=passages(setting.way, content, setting.store, setting.length_per_count, setting.start_late_m),
        spoilt=spoilt,
        open_by=setting.latest_command(spoilt),
    )


def _content(judged: RequirementOutcome) -> LengthRange | None:
    found = {measure.quantity: measure.worst for measure in judged.measures}
    return LengthRange(found[LEAST], found[MOST]) if LEAST in found and MOST in found else None


def commands_of(requirement: Requirement) -> tuple[float, float]:
    """The counts at which the gate is told to open and to close."""
    opens, closes = requirement.value("opens at", float), requirement.value("closes at", float)
    assert opens is not None and closes is not None, "the reader asks for both"
    return opens, closes
