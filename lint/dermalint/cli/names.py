"""Names of rules and packs on the command line."""

from __future__ import annotations

from collections.abc import Sequence

from dermalint.cli.calls import WrongCall, nearest_of
from dermalint.packs.model import PackSet


def full_names(option: str, names: Sequence[str], packs: PackSet) -> tuple[str, ...]:
    """Names of rules (``pack.rule``, or the rule's own name where one pack alone has it) and packs, in full.

    ``option`` says in the message where a name was given (empty: as the command's own argument).  Raises :class:`WrongCall`
    for a name that nothing has, or that several have.
    """
    return tuple(_full_name(option, name, packs) for name in names)


def _full_name(option: str, name: str, packs: PackSet) -> str:
    pack_names = {pack.name for pack in packs.packs}
    rules = {rule.id for rule in packs.rules}
    if name in pack_names or name in rules:
        return name
    short: dict[str, list[str]] = {}
    for rule in sorted(rules):
        short.setdefault(rule.partition(".")[2], []).append(rule)
    meant = short.get(name, [])
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise WrongCall(_said(option, f"more than one pack has a rule “{name}”."), f"Say which: {', '.join(meant)}")
    hint = nearest_of(name, {*rules, *pack_names, *short}) or "All names: dermalint rules"
    raise WrongCall(_said(option, f"there is no rule or pack “{name}”."), hint)


def _said(option: str, words: str) -> str:
    return f"{option}: {words}" if option else words[:1].upper() + words[1:]


def check_region(region: str, packs: PackSet) -> None:
    """Raise :class:`WrongCall` for a region that no pack declares."""
    if region not in packs.world.regions:
        known = sorted(packs.world.regions)
        hint = nearest_of(region, known) or f"Known: {', '.join(known)}"
        raise WrongCall(f"--region: there is no region “{region}”.", hint)
