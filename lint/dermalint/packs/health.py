"""How each installed pack and plugin is: everything is loaded, and whatever is wrong is told with its own line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from dermalint.packs.load import load_packs
from dermalint.packs.model import PackSet
from dermalint.plugins.catalogue import MEASURES, PACKS_HOOK, Offer
from dermalint.plugins.entry_points import PACKS, EntryPoint
from dermalint.plugins.faults import Fault, Unavailable
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import ERROR, Problem

TEXT_PACK, PYTHON = "text pack", "Python"
WELL = "in order"
LEFT_OUT = "left out, as was asked"


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to say of an entry point; ``grave`` where it does not give what it promises."""

    text: str
    todo: str | None
    grave: bool


@dataclass(frozen=True, slots=True)
class Health:
    """An entry point, what kind of thing it names, what it gives, and what is wrong with it (nothing: all is in order)."""

    entry: EntryPoint
    kind: str
    gives: str
    remarks: tuple[Remark, ...]


def examine(plugins: Installed, extra: tuple[Path, ...] = ()) -> tuple[Health, ...]:
    """Every installed pack and plugin, by distribution and name.  Imports all plugins that may be used."""
    packs = load_packs(extra, plugins=plugins)
    catalogue = plugins.catalogue
    found = [_text_pack(entry, packs) for entry in catalogue.packs]
    static = {problem.plugin: problem for problem in catalogue.problems}
    loaded = [(offer, _load(offer, plugins, packs)) for offer in catalogue.offers]
    notes = [fault for fault in plugins.take_faults() if not fault.hook]
    for offer, remarks in loaded:
        own = [_told(note) for note in notes if note.plugin == offer.entry.origin]
        found.append(Health(offer.entry, PYTHON, _gives(offer), (*remarks, *own)))
    for offer in catalogue.left_out:
        found.append(Health(offer.entry, PYTHON, _gives(offer), (Remark(LEFT_OUT, None, False),)))
    for entry in catalogue.unusable:
        problem = static[entry.origin]
        found.append(Health(entry, PYTHON, "nothing", (Remark(_without_name(problem, entry), problem.suggestion, True),)))
    return tuple(sorted(found, key=lambda health: (health.entry.distribution, health.entry.group, health.entry.name)))


def _text_pack(entry: EntryPoint, packs: PackSet) -> Health:
    named = [pack for pack in packs.packs if pack.origin == entry.origin]
    remarks = [
        Remark(problem.message, problem.suggestion, problem.level == ERROR)
        for problem in packs.problems
        if problem.plugin == entry.origin
    ]
    names = {pack.name for pack in named}
    mistakes = sum(problem.pack in names and problem.level == ERROR for problem in packs.problems)
    if mistakes:
        what = "one mistake" if mistakes == 1 else f"{mistakes} mistakes"
        remarks.append(Remark(f"{what} in its rules", "`dermalint rules` shows them.", True))
    return Health(entry, TEXT_PACK, ", ".join(f"{pack.name} {pack.version}" for pack in named) or "nothing", tuple(remarks))


def _load(offer: Offer, plugins: Installed, packs: PackSet) -> list[Remark]:
    try:
        if offer.hook == PACKS_HOOK:
            plugins.loader.paths(offer)
        else:
            plugins.loader.function(offer)
    except Unavailable as unavailable:
        return [_told(unavailable.fault)]
    if offer.hook == PACKS_HOOK:
        return [
            Remark(problem.message, problem.suggestion, problem.level == ERROR)
            for problem in packs.problems
            if problem.plugin == offer.entry.origin and problem.message.startswith("There is no rule")
        ]
    if offer.hook == MEASURES and offer.label not in packs.world.measures:
        return [Remark(f"no pack declares the measure {offer.label}, so no rule can ask for it", None, False)]
    return []


def _gives(offer: Offer) -> str:
    if offer.entry.group == PACKS or offer.hook == PACKS_HOOK:
        return "packs"
    words = {MEASURES: "measure {}", "regimen_formats": "regimens in .{}", "report_formats": "report --as {}"}
    return words[offer.hook].format(offer.label) if offer.hook in words else "nothing"


def _told(fault: Fault) -> Remark:
    return Remark(fault.cause, fault.todo or None, fault.level == ERROR)


def _without_name(problem: Problem, entry: EntryPoint) -> str:
    return problem.message.removeprefix(f"The plugin {entry.origin} ").partition(". It is left out")[0]
