"""What everybody who reads a result must know."""

from __future__ import annotations

CAUTION = (
    "An aid to review: it judges a model with the assumptions of that model, not the machine.",
    "Safety functions belong in safety-rated hardware.",
    "Risk assessment (ISO 12100), local codes and a qualified person decide.",
)
