"""Which products go together: found by asking the engine, one pair at a time."""
