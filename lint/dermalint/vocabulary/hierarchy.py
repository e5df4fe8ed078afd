"""What is inside what: cycles, everything above a name, and the bit masks of areas."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence


def find_cycles(edges: Mapping[str, Iterable[str]]) -> list[tuple[str, ...]]:
    """All cycles of a graph, one a knot of names that lead to each other, as a walk that ends where it began.

    The walk begins at the knot's first name in the alphabet and is a shortest one, so the result is the same for any order
    of ``edges``.
    """
    cycles: list[tuple[str, ...]] = []
    seen: set[str] = set()
    for start in sorted(edges):
        if start in seen:
            continue
        walk = _shortest_walk_back(start, edges)
        if walk:
            cycles.append(walk)
            forward = reachable(start, edges)
            seen.update(name for name in forward if start in reachable(name, edges))
    return cycles


def _shortest_walk_back(start: str, edges: Mapping[str, Iterable[str]]) -> tuple[str, ...] | None:
    came_from: dict[str, str] = {}
    ring = [start]
    while ring:
        following: list[str] = []
        for name in ring:
            for target in sorted(edges.get(name, ())):
                if target == start:
                    walk = [start, name]
                    while name != start:
                        name = came_from[name]
                        walk.append(name)
                    return tuple(reversed(walk))
                if target not in came_from:
                    came_from[target] = name
                    following.append(target)
        ring = following
    return None


def reachable(start: str, edges: Mapping[str, Iterable[str]]) -> frozenset[str]:
    """``start`` and every name that its edges lead to."""
    found = {start}
    waiting = [start]
    while waiting:
        for target in edges.get(waiting.pop(), ()):
            if target not in found:
                found.add(target)
                waiting.append(target)
    return frozenset(found)


def area_masks(contains: Mapping[str, Sequence[str]], overlaps: Iterable[tuple[str, str]]) -> dict[str, int]:
    """The bit mask of each area.

    Each area has a bit of its own, its unnamed rest; each declared overlap is one bit that both areas share; and an area
    has all bits of the areas inside it.  Bits follow the alphabet, so that equal declarations give equal masks.
    ``contains`` must be free of cycles.
    """
    pairs = sorted({(min(pair), max(pair)) for pair in overlaps if pair[0] != pair[1]})
    names = sorted({*contains, *(part for parts in contains.values() for part in parts), *(n for pair in pairs for n in pair)})
    own = {name: 1 << bit for bit, name in enumerate(names)}
    for bit, pair in enumerate(pairs, start=len(names)):
        for name in pair:
            own[name] |= 1 << bit
    masks: dict[str, int] = {}
    for name in names:
        mask = 0
        for part in reachable(name, contains):
            mask |= own[part]
        masks[name] = mask
    return masks
