"""Cycles, what is above what, and the masks of areas."""

from __future__ import annotations

from itertools import pairwise, permutations

from hypothesis import given
from hypothesis import strategies as st

from dermalint.vocabulary.hierarchy import area_masks, find_cycles, reachable

FACE = {"face": ("forehead", "cheeks", "jaw", "beard"), "body": ("neck",), "lips": ()}
BEARD = [("beard", "cheeks"), ("beard", "jaw")]

names = st.sampled_from("abcdefgh")
graphs = st.dictionaries(names, st.lists(names, max_size=4))


def covers(mask: int, other: int) -> bool:
    return mask & other == other


def test_an_area_covers_its_parts_and_has_a_rest_of_its_own() -> None:
    masks = area_masks(FACE, [])
    parts = ("forehead", "cheeks", "jaw", "beard")
    assert all(covers(masks["face"], masks[part]) for part in parts)
    together = 0
    for part in parts:
        together |= masks[part]
    assert not covers(together, masks["face"])
    assert masks["cheeks"] & masks["jaw"] == 0
    assert masks["face"] & masks["body"] == 0


def test_a_declared_overlap_is_no_containment() -> None:
    masks = area_masks(FACE, BEARD)
    assert masks["beard"] & masks["cheeks"]
    assert masks["beard"] & masks["jaw"]
    assert masks["beard"] & masks["forehead"] == 0
    assert masks["cheeks"] & masks["jaw"] == 0  # both overlap the beard, and not each other
    assert not covers(masks["beard"], masks["cheeks"])
    assert not covers(masks["cheeks"], masks["beard"])


def test_what_contains_a_part_overlaps_what_the_part_overlaps() -> None:
    masks = area_masks({"head": ("face",), "face": ("cheeks",)}, [("beard", "cheeks")])
    assert masks["head"] & masks["beard"]
    assert not covers(masks["head"], masks["beard"])


def test_masks_do_not_depend_on_the_order_of_declarations() -> None:
    expected = area_masks(FACE, BEARD)
    for order in permutations(FACE.items()):
        assert area_masks(dict(order), [(two, one) for one, two in reversed(BEARD)]) == expected


def test_no_two_areas_have_one_mask() -> None:
    masks = area_masks(FACE, BEARD)
    assert len(set(masks.values())) == len(masks) == 8


def test_a_cycle_is_shown_as_a_walk() -> None:
    assert find_cycles({"c": ["a"], "a": ["b"], "b": ["c", "d"], "d": []}) == [("a", "b", "c", "a")]
    assert find_cycles({"a": ["a"]}) == [("a", "a")]
    assert find_cycles({"b": ["a"], "a": ["b"], "x": ["y"], "y": ["x"]}) == [("a", "b", "a"), ("x", "y", "x")]
    assert find_cycles({"a": ["b", "c"], "b": ["c"]}) == []


@given(graphs)
def test_every_cycle_walks_along_edges_and_there_is_one_whenever_a_name_leads_to_itself(graph: dict[str, list[str]]) -> None:
    cycles = find_cycles(graph)
    for cycle in cycles:
        assert cycle[0] == cycle[-1]
        assert all(after in graph[before] for before, after in pairwise(cycle))
    leads_back = any(name in reachable(target, graph) for name in graph for target in graph[name])
    assert bool(cycles) is leads_back


@given(graphs)
def test_cycles_do_not_depend_on_order(graph: dict[str, list[str]]) -> None:
    turned = {name: list(reversed(graph[name])) for name in reversed(graph)}
    assert find_cycles(graph) == find_cycles(turned)
