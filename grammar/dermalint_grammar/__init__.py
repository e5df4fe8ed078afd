"""The rule language: text to tree and back.  It knows nothing of skin, files or findings."""
