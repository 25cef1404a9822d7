"""The machine: one file a device type, each a small behaviour with time ranges, signals and failure modes."""
