"""seqcheck."""
