"""Settings of a project: ``dermalint.toml``, or ``[tool.dermalint]`` in ``pyproject.toml``."""
