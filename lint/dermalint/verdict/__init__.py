"""Verdicts: three-valued logic, findings, and their grouping."""
