"""Tracks as JSON values: metres and counts."""

from __future__ import annotations

from typing import Any

from seqcheck.check.track import Track, commands_of
from seqcheck.cli.outcome_json import FORMAT
from seqcheck.language.sequence import Sequence
from seqcheck.web.splice_position import CountWindow, LengthRange

Json = dict[str, Any]


def tracks_json(sequence: Sequence, tracks: tuple[Track, ...], code: int) -> Json:
    """The whole document."""
    return {
        "format": FORMAT,
        "exit_code": code,
        "file": sequence.file,
        "sequence": sequence.name,
        "tracks": [_track(track) for track in tracks],
    }


def _track(track: Track) -> Json:
    opens, closes = commands_of(track.judged.requirement)
    places = track.places
    return {
        "requirement": track.judged.requirement.id,
        "verdict": track.judged.verdict.value,
        "reason": track.judged.reason or None,
        "under": track.judged.hypothesis,
        "given": track.judged.requirement.given.text,
        "encoder": track.setting.way.encoder.value,
        "content_m": _metres(track.content),
        "enters_accumulator": None if places is None else _window(places.entry),
        "leaves_accumulator": None if places is None else _window(places.exit),
        "at_gate": None if places is None else _window(places.gate),
        "spoilt_at_gate": None if track.spoilt is None else _window(track.spoilt),
        "gate_opens": {"at": opens, "at_most": track.open_by},
        "gate_closes": {"at": closes, "at_least": None if track.spoilt is None else track.spoilt.latest},
    }


def _metres(content: LengthRange | None) -> list[float] | None:
    return None if content is None else [content.least_m, content.most_m]


def _window(window: CountWindow) -> list[int]:
    return [window.earliest, window.latest]
