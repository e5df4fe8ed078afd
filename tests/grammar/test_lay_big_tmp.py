"""The layout of rule files: what it looks like, that it changes no meaning, and that it is stable."""

from __future__ import annotations

import pytest
from grammar_trees import strip_places
from hypothesis import given, settings
from hypothesis import strategies as st
from test_packs import ACIDS
from test_requirements import SENTENCES

from dermalint_grammar.layout import WIDTH, layout_pack
from dermalint_grammar.parse import parse_pack

SPREAD = """\


#   about this file

pack   p 1.0.0 title "Small" # one line
uses core,sun   1.2 or later
kind a "a" kind b
# the third
kind c

kind d "d"
base oil
substance x inci "X","Y"cas 79-14-1 # glycolic
  # properties

  in acid
group strong means (a or b)with strength at least 5%. rule r caution,avoid if strict separate a # from here
from b
# alone
by 12hours unless person is pregnant if routine has(a or b). topic sun
why "Because." breaks evening:a 5%(on lips,ph 3.5);event waxing on day 3 holds morning:b
# the end
"""

LAID = """\
#   about this file

pack p 1.0.0
title "Small"  # one line
uses core, sun 1.2 or later

kind a "a"
kind b
# the third
kind c

kind d "d"

base oil

substance x
  inci "X", "Y"
  cas 79-14-1  # glycolic
  # properties
  in acid

group strong means
  (a or b) with strength at least 5 %.

rule r caution, avoid if strict
  separate a  # from here
    from b
    # alone
    by 12 hours
  unless person is pregnant
  if routine has (a or b).
  topic sun
  why "Because."
  breaks evening: a 5 % (on lips, ph 3.5); event waxing on day 3
  holds morning: b
# the end
"""


def lay_out(text: str) -> str:
    laid = layout_pack(text)
    assert laid.mistakes == ()
    return laid.text


def test_the_layout() -> None:
    assert lay_out(SPREAD) == LAID


def test_what_is_laid_out_stays() -> None:
    assert lay_out(LAID) == LAID


def test_the_documented_pack_differs_only_in_the_blanks_behind_breaks() -> None:
    assert lay_out(ACIDS) == ACIDS.replace("breaks  ", "breaks ").replace("holds   ", "holds ")


def test_the_alternatives_of_a_long_group_stand_below_each_other() -> None:
    names = [f"some-long-name-{number} with strength at least 5 %" for number in range(4)]
    lines = lay_out(f"pack p 1.0.0 group g means {' or '.join(names)}.").splitlines()
    assert lines[3:] == [f"  {names[0]}", f"  or {names[1]}", f"  or {names[2]}", f"  or {names[3]}."]


def test_a_long_sentence_is_broken_between_its_parts() -> None:
    term = "(" + " or ".join(f"long-name-{number}" for number in range(6)) + ")"
    lines = lay_out(f"pack p 1.0.0 rule r avoid separate {term} from {term} by routine if skin is x.").splitlines()
    assert lines[3:] == [f"  separate {term}", f"  from {term} by routine", "  if skin is x."]
    lines = lay_out(f"pack p 1.0.0 rule r avoid use {term} except {term} at most 3 days per week.").splitlines()
    assert lines[-1] == "  at most 3 days per week."
    assert all(len(line) <= WIDTH for line in lines)


def test_the_routines_of_a_long_example_begin_lines() -> None:
    routine = "monday evening: " + ", ".join(f"long-name-{number} 5 %" for number in range(3))
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a. breaks {routine}; {routine}; {routine}").splitlines()
    assert lines[4:] == [f"  breaks {routine};", f"    {routine};", f"    {routine}"]


def test_what_has_no_joints_is_broken_between_words_and_never_in_a_figure() -> None:
    names = ", ".join(f"area-number-{number}" for number in range(20))
    lines = lay_out(f"pack p 1.0.0 area a contains {names}.").splitlines()
    assert len(lines) == 5
    assert all(len(line) <= WIDTH for line in lines)
    assert all(line.startswith("  area-number") for line in lines[3:])
    steps = ", ".join(f"some-long-name-{number} 5 %" for number in range(12))
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a. breaks evening: {steps}").splitlines()
    assert len(lines) > 6
    assert not any(line.lstrip().startswith(("%", "5")) for line in lines)


def test_a_text_in_quotation_marks_is_not_broken() -> None:
    words = "word " * 60
    assert f'why "{words}"\n' in lay_out(f'pack p 1.0.0 rule r avoid never use a. why "{words}"')


def test_a_text_that_cannot_be_read_stays_as_it_is() -> None:
    text = "pack p 1.0.0\nkind   3\n"
    laid = layout_pack(text)
    assert laid.text == text
    assert [text[slice(*mistake.span)] for mistake in laid.mistakes] == ["3"]


def test_a_wrong_figure_does_not_hinder() -> None:
    assert lay_out("pack p 1.0.0\nsubstance a cas 79-14-2") == "pack p 1.0.0\n\nsubstance a\n  cas 79-14-2\n"


def test_a_byte_order_mark_and_carriage_returns_go() -> None:
    assert lay_out("\ufeff" + LAID.replace("\n", "\r\n")) == LAID


@pytest.mark.parametrize("sentence", [sentence for sentence, _ in SENTENCES])
def test_a_sentence_keeps_its_meaning(sentence: str) -> None:
    text = f"pack p 1.0.0 rule r avoid {sentence}."
    assert strip_places(parse_pack(lay_out(text)).pack) == strip_places(parse_pack(text).pack)


BLANKS = st.sampled_from([" ", "\n", "\n\n", "\t", " # note\n", "\n# alone\n", "\n\n  # far\n\n\n", "\r\n"])


@settings(max_examples=1000, deadline=None)
@given(st.data())
def test_comments_and_blanks_anywhere(data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from([LAID, ACIDS])).splitlines()
    words = " ".join(line.split("  #")[0] for line in lines if not line.lstrip().startswith("#")).split(" ")
    quoted = False
    text = data.draw(BLANKS).lstrip(" ")
    for word in words:
        quoted ^= word.count('"') % 2 == 1
        text += word + (" " if quoted else data.draw(BLANKS))
    laid = lay_out(text)
    assert lay_out(laid) == laid
    assert strip_places(parse_pack(laid).pack) == strip_places(parse_pack(text).pack)
    assert laid.count("#") == text.count("#")
