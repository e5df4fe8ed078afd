"""The classes of the tree; import them from :mod:`dermalint_grammar.nodes`."""
