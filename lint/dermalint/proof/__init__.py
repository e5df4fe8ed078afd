"""Proving packs: what their rules say together, and whether it can be true."""
