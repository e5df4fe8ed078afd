"""What a plugin written in Python may provide.

A package names its plugin in the entry point group ``dermalint.plugins``; the value is a module (or ``module:object``) that
says which interface it is written for and marks its functions::

    from pathlib import Path

    from dermalint.plugins.specification import provides

    DERMALINT_INTERFACE = 1


    @provides
    def packs() -> list[Path]:
        return [Path("/srv/house-rules")]

Most plugins need none of this: a package whose rules are text names their folder in ``dermalint.packs`` and is never
imported.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pluggy

INTERFACE = 1
PROJECT = "dermalint"

provides = pluggy.HookimplMarker(PROJECT)
_specifies = pluggy.HookspecMarker(PROJECT)


class Hooks:
    """The hooks.  Each plugin's answer is taken by itself, so that one at fault costs its own answer only."""

    @_specifies
    def packs(self) -> Sequence[Path]:
        """Further rule files, or folders of them, by absolute path.

        For rules that are found only at run time: in a folder that a setting names, or written from another source.
        """
        raise NotImplementedError  # a specification is never called
