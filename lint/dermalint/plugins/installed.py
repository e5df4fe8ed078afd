"""The installed plugins as the rest of the engine uses them: each is loaded when what it offers is first asked for.

Importing this module imports no plugin and not pluggy either; :mod:`dermalint.plugins.discover` comes with the first plugin.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dermalint.plugins.catalogue import MEASURES, PACKS_HOOK, REGIMENS, REPORTS, Catalogue, Offer, read_catalogue
from dermalint.plugins.faults import Fault, Unavailable
from dermalint.plugins.product_facts import ProductFacts, Span
from dermalint.regimen.model import HINT, Reading

if TYPE_CHECKING:
    from dermalint.plugins.discover import Loader
    from dermalint.verdict.report_model import Review


class Installed:
    """What is installed, and the faults that showed since they were last taken.

    ``read`` gives the catalogue when something is first asked for.
    """

    def __init__(self, read: Callable[[], Catalogue] = read_catalogue) -> None:
        self._read = read
        self._catalogue: Catalogue | None = None
        self._loader: Loader | None = None
        self._faults: list[Fault] = []

    @property
    def catalogue(self) -> Catalogue:
        """What the entry points say."""
        if self._catalogue is None:
            self._catalogue = self._read()
        return self._catalogue

    @property
    def loader(self) -> Loader:
        """What loads plugins; brings pluggy."""
        if self._loader is None:
            from dermalint.plugins.discover import Loader

            self._loader = Loader(self.catalogue)
        return self._loader

    def take_faults(self) -> tuple[Fault, ...]:
        """The faults since the last call (:func:`dermalint.plugins.faults.merge` makes problems of them)."""
        notes: list[Fault] = []
        if self._loader is not None:
            notes, self._loader.notes = self._loader.notes, []
        faults, self._faults = self._faults, []
        return (*faults, *notes)

    def blame(self, fault: Fault, needed_by: str = "") -> None:
        """Keep a fault to be told; ``needed_by`` names the rule or file that goes without."""
        self._faults.append(fault._replace(needed=(needed_by,)) if needed_by else fault)

    def packs(self) -> list[tuple[Path, str]]:
        """The packs that plugins give, each with its plugin."""
        provided: list[tuple[Path, str]] = []
        for offer in self.catalogue.offers:
            if offer.hook == PACKS_HOOK:
                try:
                    provided += [(path, offer.entry.origin) for path in self.loader.paths(offer)]
                except Unavailable as unavailable:
                    self.blame(unavailable.fault)
        return provided

    # --- measures ---

    def measures_ready(self, names: tuple[str, ...], rule: str) -> bool:
        """Whether all these measures can be computed; where not, that is kept to be told, with the rule that asks."""
        for name in names:
            try:
                self._offered(MEASURES, name)
            except Unavailable as unavailable:
                self.blame(unavailable.fault, rule)
                return False
        return True

    def compute(self, name: str, product: ProductFacts, key: str) -> Span | None:
        """A measure of the product called ``key``, None where it does not apply.  Raises :class:`Unavailable`."""
        offer, function = self._offered(MEASURES, name)
        found = self.loader.call(offer, lambda: _as_span(function(product)), f"when it measured {key}")
        if isinstance(found, str):
            cause = f"gave {found} when it measured {key}"
            raise Unavailable(Fault(MEASURES, name, offer.entry.origin, cause, "Tell its maker."))
        span: Span | None = found
        return span

    def _offered(self, hook: str, label: str) -> tuple[Offer, Callable[..., Any]]:
        offer = self.catalogue.find(hook, label)
        if offer is not None:
            return offer, self.loader.function(offer)
        left_out = next((each for each in self.catalogue.left_out if (each.hook, each.label) == (hook, label)), None)
        if left_out is not None:
            raise Unavailable(Fault(hook, label, left_out.entry.origin, "is left out, as was asked", "", HINT))
        name = f"{hook}.{label}"
        cause = f"No plugin that can be used computes the measure {label} (an entry point `{name}` in `dermalint.plugins`)"
        raise Unavailable(Fault(hook, label, label, cause, "Install the package that computes it."))

    # --- formats ---

    def endings(self) -> tuple[str, ...]:
        """What the names of files end in that folders are searched for, beyond the usual: ``.regimen.csv``."""
        return tuple(f".regimen.{label}" for label in self.catalogue.labels(REGIMENS))

    def reads(self, path: Path) -> bool:
        """Whether a file is for a plugin to read."""
        return self.catalogue.find(REGIMENS, path.suffix[1:].lower()) is not None

    def read_regimen(self, path: Path, shown: str) -> Reading:
        """Read a file that :meth:`reads` says is a plugin's; without regimens where that fails, and the fault is kept."""
        offer = self.catalogue.find(REGIMENS, path.suffix[1:].lower())
        assert offer is not None
        from dermalint.plugins.shapes import misfit

        try:
            function = self.loader.function(offer)
            reading = self.loader.call(offer, lambda: function(path, shown), f"when it read {shown}")
            wrong = misfit(reading, Reading, "the reading")
            if wrong is None and reading.path != shown:
                wrong = f"the reading is of {reading.path}"
            if wrong is not None:
                cause = f"gave what is no reading of {shown}: {wrong}"
                raise Unavailable(Fault(REGIMENS, offer.label, offer.entry.origin, cause, "Tell its maker."))
        except Unavailable as unavailable:
            self.blame(unavailable.fault, shown)
            return Reading(shown, (), (), {})
        assert isinstance(reading, Reading)
        return reading

    def blame_reader(self, path: Path, shown: str, what: str) -> None:
        """Keep the fault of a reader whose regimen could not be judged."""
        offer = self.catalogue.find(REGIMENS, path.suffix[1:].lower())
        assert offer is not None
        cause = f"gave a regimen that cannot be judged ({what})"
        self.blame(Fault(REGIMENS, offer.label, offer.entry.origin, cause, "Tell its maker."), shown)

    def report_names(self) -> tuple[str, ...]:
        """What ``--as`` takes beyond the usual."""
        return self.catalogue.labels(REPORTS)

    def render(self, name: str, review: Review) -> str:
        """A report of a plugin.  Raises :class:`Unavailable`."""
        offer = self.catalogue.find(REPORTS, name)
        assert offer is not None
        function = self.loader.function(offer)
        text = self.loader.call(offer, lambda: function(review), "when it was to write the report")
        if not isinstance(text, str):
            cause = f"gave a value of the type {type(text).__name__} where the text of a report was expected"
            raise Unavailable(Fault(REPORTS, name, offer.entry.origin, cause, "Tell its maker."))
        return text


def _as_span(found: Any) -> Span | str | None:
    """What a measure gave, or in words why it is none."""
    if found is None:
        return None
    if not isinstance(found, tuple) or len(found) != 2:
        return f"a value of the type {type(found).__name__} where the lowest and the highest value were expected"
    low, high = found
    for number in (low, high):
        if type(number) is not int and not (number is None and number is high):
            return f"{number!r:.60} where whole billionths were expected"
    if high is not None and high < low:
        return "a highest value below the lowest"
    return low, high
