"""Which families, substances or products go together, found by asking the engine about small regimens of two products."""
