"""YAML to a checked `Sequence`: gathers the fields that device types and requirement kinds declare."""
