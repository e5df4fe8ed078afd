"""The copper peptides pack: what copper peptides are kept apart from, and how firmly that is known."""
