"""The facts of a review as plain data for JSON: the names of the dataclasses' fields, times in microseconds, web in metres."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from seqcheck.report.review import Review

PARTS = ("head", "matrix", "faults", "troubleshooting", "cause_effect", "safety")
"""What the page shows besides the outcome, which has a form of its own."""


def review_json(review: Review) -> dict[str, Any]:
    """All facts but the outcome of the check."""
    return {name: plain(getattr(review, name)) for name in PARTS}


def plain(value: object) -> Any:
    """Dataclasses as objects, tuples as lists, enumerations as their words."""
    if is_dataclass(value) and not isinstance(value, type):
        return {part.name: plain(getattr(value, part.name)) for part in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    return value
