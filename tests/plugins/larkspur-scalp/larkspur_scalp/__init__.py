"""Scalp care at Larkspur Row, which does not exist: a pack, a measure and a format for dermalint."""
