"""Regimens: their model, and reading them from YAML, JSON and TOML with every value's place."""
