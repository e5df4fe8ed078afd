"""No bytes raise; the same regimen in YAML, JSON and TOML is the same."""

from __future__ import annotations

import json
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from dermalint.regimen import build, history, person, products, routines, steps, surroundings
from dermalint.regimen.json_text import read_json
from dermalint.regimen.model import Reading
from dermalint.regimen.notes import Notes
from dermalint.regimen.read import read_regimen
from dermalint.regimen.toml_text import read_toml
from dermalint.regimen.tree import Mapping, Node, Scalar
from dermalint.regimen.yaml_text import read_yaml
from dermalint.spans import Place
from dermalint_grammar.record import Record, fields_of

SAMPLE = (Path(__file__).parent / "samples" / "full.regimen.yaml").read_bytes()
FIELDS = (
    *products.FIELDS,
    *steps.FIELDS,
    *person.FIELDS,
    *routines.ROUTINE_FIELDS,
    *routines.PHASE_FIELDS,
    *surroundings.EVENT_FIELDS,
    *surroundings.OUTDOOR_FIELDS,
    *history.USE_FIELDS,
    *history.TEST_FIELDS,
    *history.WAIVER_FIELDS,
    *build.FIELDS,
)
ENDINGS = ("yaml", "json", "toml")


def reading_of(content: bytes, ending: str) -> Reading:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"x.{ending}"
        path.write_bytes(content)
        return read_regimen(path, shown="x", root=Path(folder))


def sound(reading: Reading) -> None:
    for problem in reading.problems:
        assert problem.message
        assert problem.suggestion
        if problem.place is not None:
            text = reading.sources[problem.place.path or reading.path].text
            assert 0 <= problem.place.start <= max(len(text), 1)
            assert problem.place.start <= problem.place.end
    assert reading.regimens or reading.problems


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200) | st.text(max_size=120).map(lambda text: text.encode("utf-8")), st.sampled_from(ENDINGS))
@example(b"- [" * 5000, "yaml")
@example(b"[" * 50_000, "yaml")
@example(b"? " * 5000, "yaml")
@example(b"- " * 5000, "yaml")
@example(b"[" * 50_000, "json")
@example(b'{"a":' * 5000, "json")
@example(b"a = " + b"[" * 5000, "toml")
@example(b"a = " + b"9" * 5000, "toml")
@example(b".".join([b"a"] * 200) + b" = 1", "toml")
@example(b"%YAML 3.7\n---\na: b\n", "yaml")
@example("a: \N{ZERO WIDTH NO-BREAK SPACE}b".encode(), "yaml")
@example("a: b\N{LINE SEPARATOR}c: d".encode(), "yaml")
@example(b'"\\ud800"', "yaml")
@example(b"&a [*a]", "yaml")
@example(b"a: !<tag:x> {}\n", "yaml")
def test_no_bytes_raise(content: bytes, ending: str) -> None:
    sound(reading_of(content, ending))


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_no_damage_to_a_real_file_raises(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(SAMPLE)))
    end = data.draw(st.integers(start, min(len(SAMPLE), start + 40)))
    put = data.draw(
        st.binary(max_size=4) | st.sampled_from([b"\t", b"[", b"}", b": ", b"- ", b"*", b"&a ", b"!!x ", b"-1", b"\n", b'"'])
    )
    sound(reading_of(SAMPLE[:start] + put + SAMPLE[end:], "yaml"))


values = st.recursive(
    st.sampled_from(["8 %", "", "no", "2026-02-30", "25:00", "every 2 days", "toner", "-3", "not monday", "x" * 50, "9" * 30])
    | st.integers(-5, 400)
    | st.booleans()
    | st.none(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(FIELDS),
            inner,
            max_size=4,
        )
    ),
    max_leaves=25,
)


@settings(max_examples=400, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(build.FIELDS),
        values,
        min_size=1,
    )
)
def test_no_shape_raises(document: dict[str, Any]) -> None:
    sound(reading_of(json.dumps(document).encode(), "json"))


def placeless(value: Any) -> Any:
    """A model without its places."""
    if isinstance(value, Place):
        return None
    if isinstance(value, Record):
        return type(value).__name__, [(name, placeless(getattr(value, name))) for name in fields_of(value)]
    if isinstance(value, tuple | list):
        return [placeless(item) for item in value]
    if isinstance(value, dict):
        return {key: placeless(item) for key, item in value.items()}
    return value


def toml_of(value: Any) -> str:
    """A value as inline TOML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {toml_of(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(toml_of(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


names = st.sampled_from(["toner", "cream", "day-fluid"])
days = st.sampled_from(["every", "not monday", ["monday", "thursday"], [1, 3], "every 2 days"])
some_steps = st.lists(
    names
    | st.fixed_dictionaries({"wait": st.integers(1, 90).map("{} min".format)})
    | st.fixed_dictionaries({"product": names}, optional={"areas": st.just(["face", "neck"]), "as-needed": st.booleans()}),
    max_size=4,
)
some_routines = st.lists(
    st.fixed_dictionaries({"slot": st.sampled_from(["morning", "evening"]), "steps": some_steps}, optional={"days": days}),
    max_size=3,
)
printable = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x10FFFF, exclude_categories=["Cs", "Cc", "Zl", "Zp", "Co", "Cn"])
)
regimens = st.fixed_dictionaries(
    {
        "regimen": printable.map(lambda text: "T " + text.replace("\N{ZERO WIDTH NO-BREAK SPACE}", "")),
        "products": st.fixed_dictionaries(
            {
                "toner": st.fixed_dictionaries({}, optional={"ph": st.integers(0, 14), "prescribed": st.booleans()}),
                "cream": st.fixed_dictionaries({}, optional={"contains": st.just({"retinol": "0.3 %"}), "ph": st.just(3.75)}),
                "day-fluid": st.fixed_dictionaries({"spf": st.integers(1, 100)}),
            }
        ),
        "routines": some_routines,
    },
    optional={
        "starts": st.dates(date(2000, 1, 1), date(2100, 1, 1)).map(date.isoformat),
        "person": st.fixed_dictionaries({"age": st.integers(0, 99)}, optional={"traits": st.just(["sensitive"])}),
        "day": st.just({"evening": "21:00"}),
    },
)


@settings(max_examples=150, deadline=None)
@given(regimens)
def test_yaml_json_and_toml_say_the_same(document: dict[str, Any]) -> None:
    as_json = json.dumps(document)
    as_toml = "\n".join(f"{key} = {toml_of(value)}" for key, value in document.items())
    # YAML takes JSON whose characters are written out; half characters are JSON's alone.
    as_yaml = json.dumps(document, ensure_ascii=False)
    readings = [
        reading_of(content.encode("utf-8"), ending)
        for content, ending in ((as_yaml, "yaml"), (as_json, "json"), (as_toml, "toml"))
    ]
    first, second, third = (
        [placeless(reading.regimens), [problem.message for problem in reading.problems]] for reading in readings
    )
    assert first == second
    assert first == third
    assert readings[0].regimens[0].title == document["regimen"].strip()


def texts(node: Node, source: str) -> list[tuple[str, str, str]]:
    """Each scalar's pointer, value and what stands at its place."""
    if isinstance(node, Scalar):
        return [(node.pointer, node.text, source[node.start : node.end])]
    inner = [entry.value for entry in node.entries.values()] if isinstance(node, Mapping) else list(node.items)
    return [found for child in inner for found in texts(child, source)]


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (r'"a\/b"', "a/b"),
        (r'"\ud83c\udf19"', "🌙"),
        (r'"\u00e9\n\t\"\\"', 'é\n\t"\\'),
        ('"#: - *a &b !c"', "#: - *a &b !c"),
        ("-0.50", "-0.50"),
        ("1e3", "1e3"),
        ("null", ""),
        ("true", "true"),
    ],
)
def test_json_values_and_their_places(written: str, meant: str) -> None:
    source = f'{{ "a~/b" : [ 1 , {written} ] }}'
    node = read_json(source, Notes())
    assert texts(node, source) == [("/a~0~1b/0", "1", "1"), ("/a~0~1b/1", meant, written)]


def test_toml_values_and_their_places() -> None:
    source = (
        '# first\nregimen = \'T\' # a title\nstarts = 2026-03-02\nday = {morning = 07:00:00, "evening" = "21:30"}\n'
        '[products.toner]\nph = 3.80\n[products."cr.eme"]\nname = """\ntwo\nlines"""\n'
        '[[routines]]\nslot = "morning"\nsteps = [ # all\n  "toner", {product = "cr.eme"},\n]\n'
        "[[routines]]\nslot = 'evening'\n"
        "[routines.more]\nlist = [[1, 2], []]\n"
    )
    assert texts(read_toml(source), source) == [
        ("/regimen", "T", "'T'"),
        ("/starts", "2026-03-02", "2026-03-02"),
        ("/day/morning", "07:00", "07:00:00"),
        ("/day/evening", "21:30", '"21:30"'),
        ("/products/toner/ph", "3.80", "3.80"),
        ("/products/cr.eme/name", "two\nlines", '"""\ntwo\nlines"""'),
        ("/routines/0/slot", "morning", '"morning"'),
        ("/routines/0/steps/0", "toner", '"toner"'),
        ("/routines/0/steps/1/product", "cr.eme", '"cr.eme"'),
        ("/routines/1/slot", "evening", "'evening'"),
        ("/routines/1/more/list/0/0", "1", "1"),
        ("/routines/1/more/list/0/1", "2", "2"),
    ]


def test_yaml_values_are_text() -> None:
    source = "a: no\nb: 010\nc: 10:00\nd: on\ne: 1_000\nf: 0x10\ng: 'it''s'\nh: |\n  two\n  lines\n\n# end\ni: ~\n"
    node = read_yaml(source, Notes())
    assert [text for _, text, _ in texts(node, source)] == [
        "no",
        "010",
        "10:00",
        "on",
        "1_000",
        "0x10",
        "it's",
        "two\nlines\n",
        "~",
    ]
    assert [at for _, _, at in texts(node, source)][6:8] == ["'it''s'", "|\n  two\n  lines"]
