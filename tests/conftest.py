"""Settings of all tests: generated input is the same in every run, so that a red run is red again.

``DERMALINT_CAMPAIGN`` asks for long runs with fresh input (see ``make campaign``).
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
settings.register_profile("fresh", deadline=None)
settings.load_profile("fresh" if os.environ.get("DERMALINT_CAMPAIGN") else "fixed")
