"""What a rule may name, what each pack sees, and what becomes of packs that do not fit together."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile, PackSet

Link = Callable[..., PackSet]


def pack(name: str, body: str, uses: str = "uses core", version: str = "1.0.0") -> str:
    """A pack's text."""
    return f'pack {name} {version}\ntitle "{name}"\n{uses}\n\n{body}\n'


def rule(sentence: str, name: str = "one", rest: str = "") -> str:
    """A rule's text."""
    return f'rule {name} caution\n  {sentence}\n  why "A reason."\n{rest}\n'


def ids(packs: PackSet) -> list[str]:
    return [linked.id for linked in packs.rules]


def quoted(packs: PackSet, number: int = 0) -> str:
    """The text that a problem's place points at."""
    place = packs.problems[number].place
    assert place is not None
    assert place.path is not None
    return packs.sources[place.path].text[place.start : place.end]


def test_sound_packs_link_without_problems(link: Link, core: str) -> None:
    packs = link(core, pack("acids", rule("separate strong-acid from retinoid except adapalene by routine.")))
    assert packs.problems == ()
    assert packs.sources == {}
    assert [(each.name, each.version, each.path, each.uses) for each in packs.packs] == [
        ("acids", "1.0.0", "2.rules", ("core",)),
        ("core", "1.2.0", "1.rules", ()),
    ]
    assert ids(packs) == ["acids.one"]
    assert packs.rules[0].rule.name.text == "one"


SOUND = [
    "use retinol only in the evening or afternoon.",
    "never use retinol in the morning.",
    "use retinol at most 2 evenings per week.",
    "apply base water before base oil.",
    "wait 2 hours after retinol before event bed.",
    "in daylight expect sunscreen every 2 hours.",
    "expect sunscreen in every morning.",
    "expect sunscreen in every daylight.",
    "after event waxing on face expect sunscreen every morning for 7 days.",
    "limit ph of glycolic-acid to at least 3.5.",
    "limit strength of strong-acid to at most 10 %.",
    "limit months-open of retinol to at most 6 months.",
    "never use retinol if person is pregnant.",
    "never use retinol if person has peeling.",
    "never use retinol if person is allergic to aspirin.",
    "never use retinol if person is allergic to glycolic-acid.",
    "never use retinol if person takes retinoid.",
    "never use retinol if reason is acne and region is eu.",
    "never use retinol if skin is damp.",
    'never use "Glycolic Acid" on lips.',
    "separate retinol from glycolic-acid by day counting face as one area.",
]


@pytest.mark.parametrize("sentence", SOUND)
def test_every_place_for_a_name_takes_its_own_sort(link: Link, core: str, sentence: str) -> None:
    packs = link(core, pack("acids", rule(sentence)))
    assert packs.problems == ()
    assert ids(packs) == ["acids.one"]


UNKNOWN = [
    ("never use retinoll.", "There is no substance, family, group or kind called retinoll", "retinol", "retinoll"),
    ("never use hydroxyacetic-acid.", "called hydroxyacetic-acid", "glycolic-acid", "hydroxyacetic-acid"),
    ("apply base watr before base oil.", "There is no base called watr", "water", "watr"),
    ("never use retinol on chekes.", "There is no area called chekes", "cheeks", "chekes"),
    ("wait 1 day after event waxin before retinol.", "There is no event called waxin", "waxing", "waxin"),
    ("never use retinol in the evning.", "There is no slot called evning", "evening", "evning"),
    ("use retinol only in the evening or mornin.", "There is no slot called mornin", "morning", "mornin"),
    ("expect sunscreen in every mornig.", "There is no slot called mornig", "morning", None),
    ("limit strenght of retinol to at most 1 %.", "There is no measure called strenght", "strength", "strenght"),
    ("never use retinol with phh below 4.", "There is no measure called phh", "ph", None),
    ("never use retinol if person is pregnnt.", "There is no trait or symptom called pregnnt", "pregnant", None),
    ("never use retinol if person is allergic to aspirn.", "allergy, substance or family called aspirn", "aspirin", None),
    ("never use retinol if person takes retinal.", "There is no substance or family called retinal", "retinol", None),
    ("never use retinol if reason is acnee.", "There is no reason called acnee", "acne", None),
    ("never use retinol if region is eur.", "There is no region called eur", "eu", None),
    ("never use retinol if skin is dri.", "There is no state of the skin called dri", None, None),
    ("separate retinol from adapalene by day counting fase as one area.", "There is no area called fase", "face", "fase"),
    ("never use waxing.", "waxing is an event", "It is named with `event waxing`.", "waxing"),
    ("never use retinol suspends core.nothing.", "There is no rule core.nothing", None, "core.nothing"),
]


@pytest.mark.parametrize(("sentence", "message", "suggestion", "at"), UNKNOWN)
def test_an_unknown_name_leaves_its_rule_out_with_one_message(
    link: Link, core: str, sentence: str, message: str, suggestion: str | None, at: str | None
) -> None:
    packs = link(core, pack("acids", rule(sentence) + rule("never use adapalene.", "sound")))
    assert ids(packs) == ["acids.sound"]
    (problem,) = packs.problems
    assert message in problem.message
    assert problem.message.endswith("; the rule one is left out.")
    assert problem.suggestion == suggestion
    assert (problem.level, problem.pack) == ("error", "acids")
    if at is not None:
        assert quoted(packs) == at


def test_a_wrong_topic_is_told(link: Link, core: str) -> None:
    packs = link(core, pack("acids", rule("never use retinol.", rest="  topic timming")))
    assert packs.rules == ()
    assert packs.problems[0].suggestion == "timing"


MISFITS = [
    ("limit strength of retinol to at most 1.", "strength is written in per cent", "`strength … 1 %`"),
    ("limit ph of retinol to at least 3.5 %.", "ph is written as a bare number", "`ph … 3.5`"),
    ("limit months-open of retinol to at most 30 days.", "months-open is written in months", "`months-open … 30 months`"),
    ("never use serum with strength at least 5 %.", "no substance or family", None),
    ("limit strength of any product to at most 5 %.", "no substance or family", None),
    ("never use (retinol or serum) with strength at least 5 %.", "no substance or family", None),
]


@pytest.mark.parametrize(("sentence", "message", "suggestion"), MISFITS)
def test_units_and_subjects_fit_their_measure(
    link: Link, core: str, sentence: str, message: str, suggestion: str | None
) -> None:
    packs = link(core, pack("acids", rule(sentence)))
    assert packs.rules == ()
    (problem,) = packs.problems
    assert message in problem.message
    if suggestion is not None:
        assert problem.suggestion == suggestion


def test_a_pack_sees_what_it_uses_and_what_that_uses(link: Link, core: str) -> None:
    middle = pack("middle", 'family peptide "peptides"')
    last = pack("last", rule("separate retinol from peptide by routine."), "uses middle")
    packs = link(core, middle, last)
    assert packs.problems == ()
    assert ids(packs) == ["last.one"]


def test_a_name_of_a_pack_not_used_is_told_with_the_line_to_add(link: Link, core: str) -> None:
    packs = link(core, pack("alone", rule("never use retinol."), uses=""))
    (problem,) = packs.problems
    assert problem.message == (
        "The substance retinol is declared in the pack core: add `uses core` at the top of this pack; the rule one is left out."
    )
    assert problem.suggestion == "uses core"
    assert packs.rules == ()


def test_a_rule_of_a_pack_not_used_cannot_be_suspended(link: Link, core: str) -> None:
    packs = link(
        core,
        pack("acids", rule("never use retinol.")),
        pack("clinic", rule("never use adapalene suspends acids.one.", "two")),
    )
    assert ids(packs) == ["acids.one"]
    assert packs.problems[0].suggestion == "uses acids"


def test_suspensions_are_known_by_full_name(link: Link, core: str) -> None:
    packs = link(
        core,
        pack("acids", rule("never use retinol.")),
        pack("clinic", rule("never use adapalene suspends acids.one.", "two"), "uses core, acids"),
    )
    assert packs.problems == ()
    assert packs.rules[1].suspends == ("acids.one",)


def test_rules_that_suspend_each_other_stay_and_suspend_nothing(link: Link, core: str) -> None:
    body = rule("never use retinol suspends acids.two.") + rule("never use adapalene suspends acids.one.", "two")
    packs = link(core, pack("acids", body))
    assert [(each.id, each.suspends) for each in packs.rules] == [("acids.one", ()), ("acids.two", ())]
    (problem,) = packs.problems
    assert "acids.one → acids.two → acids.one" in problem.message


def test_what_uses_a_missing_pack_is_left_out_with_all_that_uses_it(link: Link, core: str) -> None:
    packs = link(
        core,
        pack("acids", rule("never use retinol."), "uses core, sunn"),
        pack("clinic", rule("never use retinol."), "uses core, acids"),
        pack("sun", rule("never use retinol."), "uses core"),
    )
    assert ids(packs) == ["sun.one"]
    assert [(problem.pack, problem.message, problem.suggestion) for problem in packs.problems] == [
        ("acids", "There is no pack called sunn here; the pack acids is left out.", "sun"),
        ("clinic", "The pack acids, which it uses, is itself left out; the pack clinic is left out.", None),
    ]


def test_packs_that_use_each_other_are_left_out(link: Link, core: str) -> None:
    packs = link(
        core,
        pack("acids", rule("never use retinol."), "uses core, sun"),
        pack("sun", rule("never use retinol."), "uses core, acids"),
        pack("own", rule("never use retinol."), "uses core"),
    )
    assert ids(packs) == ["own.one"]
    assert all("acids → sun → acids" in problem.message for problem in packs.problems)
    assert [problem.pack for problem in packs.problems] == ["acids", "sun"]


def test_of_two_packs_of_one_name_the_first_stays(link: Link, core: str) -> None:
    packs = link(core, pack("acids", rule("never use retinol.")), pack("acids", rule("never use adapalene.", "two")))
    assert ids(packs) == ["acids.one"]
    (problem,) = packs.problems
    assert "There is another pack called acids (2.rules)" in problem.message


def test_the_same_pack_twice_is_one(link: Link, core: str) -> None:
    text = pack("acids", rule("never use retinol."))
    packs = link(core, text, text)
    assert packs.problems == ()
    assert ids(packs) == ["acids.one"]


def test_a_given_pack_stands_in_for_an_installed_one(core: str) -> None:
    installed = (
        PackFile("/i/acids.rules", "acids/acids.rules", "acids: acids"),
        pack("acids", rule("never use retinol.")).encode(),
    )
    given = (PackFile("/g/a.rules", "a.rules", GIVEN), pack("acids", rule("never use adapalene.", "mine")).encode())
    packs = link_files([(PackFile("/i/core.rules", "core.rules", "core: core"), core.encode()), installed, given])
    assert ids(packs) == ["acids.mine"]
    (problem,) = packs.problems
    assert problem.level == "hint"


def test_of_two_rules_of_one_name_the_first_stays(link: Link, core: str) -> None:
    packs = link(core, pack("acids", rule("never use retinol.") + rule("never use adapalene.")))
    assert ids(packs) == ["acids.one"]
    assert "already has a rule one" in packs.problems[0].message


def test_two_packs_that_declare_one_name_differently(link: Link, core: str) -> None:
    body = 'family retinoid "something else"\n' + rule("never use retinoid.") + rule("never use retinol.", "two")
    packs = link(core, pack("other", body))
    assert ids(packs) == ["other.two"]
    assert [problem.message for problem in packs.problems] == [
        "The pack core declares retinoid too, and says something else; this declaration does not count.",
        "retinoid is itself at fault (see its own message), so the rule one is left out.",
    ]
    assert packs.world.families["retinoid"].title == "retinoids"


def test_a_family_of_equal_meaning_may_be_declared_by_two_packs(link: Link, core: str) -> None:
    packs = link(
        core,
        pack("acids", 'family peptide "peptides"\n' + rule("never use peptide.")),
        pack("other", 'family peptide "peptides"\n' + rule("never use peptide.")),
    )
    assert packs.problems == ()
    assert ids(packs) == ["acids.one", "other.one"]


def test_names_of_terms_share_one_space(link: Link, core: str) -> None:
    packs = link(core, pack("acids", 'kind retinoid "retinoids"\nkind peptide "p"\nfamily peptide "p"'))
    assert len(packs.problems) == 2
    assert "peptide is already declared in this pack, as a kind" in packs.problems[1].message


def test_a_family_may_bear_the_name_of_its_member(link: Link, core: str) -> None:
    packs = link(
        core, pack("acids", 'family glycolic-acid "glycolic acid and its salts"\nsubstance salt inci "Salt" in glycolic-acid')
    )
    assert packs.problems == ()
    assert packs.world.members["glycolic-acid"] == {"glycolic-acid", "salt"}
    assert "hydroxy-acid" in packs.world.ancestors["glycolic-acid"]


def test_a_pack_joins_a_substance_to_its_own_families(link: Link, core: str) -> None:
    packs = link(core, pack("night", 'family night-active "night actives"\nsubstance retinol in night-active'))
    assert packs.problems == ()
    assert packs.world.substances["retinol"].families == ("retinoid", "night-active")
    assert packs.world.substances["retinol"].inci == ("Retinol",)
    assert packs.world.ancestors["retinol"] == {"retinol", "retinoid", "night-active"}


def test_joining_needs_the_pack_that_declares(link: Link, core: str) -> None:
    packs = link(core, pack("night", 'family night-active "night actives"\nsubstance retinol in night-active', uses=""))
    assert packs.world.substances["retinol"].families == ("retinoid",)
    assert packs.problems[0].suggestion == "uses core"


def test_a_substance_with_nothing_but_families_is_a_declaration_where_no_other_is(link: Link, core: str) -> None:
    packs = link(core, pack("night", "substance tretinoin in retinoid"))
    assert packs.problems == ()
    assert packs.world.ancestors["tretinoin"] == {"tretinoin", "retinoid"}


def test_an_unknown_family_is_told_and_the_substance_stays(link: Link, core: str) -> None:
    packs = link(core, pack("night", 'substance tretinoin inci "Tretinoin" in retinoyd, retinoid'))
    (problem,) = packs.problems
    assert problem.suggestion == "retinoid"
    assert quoted(packs) == "retinoyd"
    assert packs.world.substances["tretinoin"].families == ("retinoid",)


def test_families_inside_each_other_are_left_out(link: Link, core: str) -> None:
    body = 'family a "a" in b\nfamily b "b" in a\nfamily c "c" in a\n' + rule("never use b.") + rule("never use c.", "two")
    packs = link(core, pack("acids", body))
    assert "a" not in packs.world.families
    assert packs.world.families["c"].parents == ()
    assert ids(packs) == ["acids.two"]
    assert any("a → b → a" in problem.message for problem in packs.problems)


def test_groups_explained_by_each_other_are_left_out(link: Link, core: str) -> None:
    body = (
        "group a means b.\ngroup b means a or retinol.\ngroup c means not a.\n"
        + rule("never use c.")
        + rule("never use b.", "two")
    )
    packs = link(core, pack("acids", body))
    assert set(packs.world.groups) == {"strong-acid"}
    assert packs.rules == ()
    told = [problem.message for problem in packs.problems]
    assert any("a → b → a" in message for message in told)
    assert "c is itself at fault (see its own message), so the rule one is left out." in told


def test_a_group_with_an_unknown_name_is_left_out_with_one_message_for_all_its_rules(link: Link, core: str) -> None:
    body = "group bad means retinoll.\n" + "".join(rule("never use bad.", name) for name in ("one", "two", "three"))
    packs = link(core, pack("acids", body))
    assert packs.rules == ()
    assert [problem.message for problem in packs.problems] == [
        "There is no substance, family, group or kind called retinoll; the group bad is left out.",
        "bad is itself at fault (see its own message), so the rule one, the rule two and the rule three are left out.",
    ]


def test_groups_in_any_order(link: Link, core: str) -> None:
    packs = link(
        core, pack("acids", "group late means early.\ngroup early means strong-acid or retinol.\n" + rule("never use late."))
    )
    assert packs.problems == ()
    assert packs.rules[0].triggers == {"alpha-hydroxy-acid", "retinol"}


def test_areas_that_contain_each_other_are_left_out(link: Link, core: str) -> None:
    packs = link(core, pack("acids", "area a contains b.\narea b contains a.\n" + rule("never use retinol on a.")))
    assert "a" not in packs.world.areas
    assert packs.rules == ()
    assert any("a → b → a" in problem.message for problem in packs.problems)


def test_two_substances_that_claim_one_label_name(link: Link, core: str) -> None:
    packs = link(core, pack("acids", 'substance other-acid inci "Other Acid" also "Hydroxyacetic  ACID"'))
    (problem,) = packs.problems
    assert "glycolic-acid and other-acid both claim" in problem.message
    assert packs.world.labels["hydroxyacetic acid"] == "glycolic-acid"


def test_a_cas_number_with_a_wrong_check_digit(link: Link, core: str) -> None:
    packs = link(core, pack("acids", 'substance water-like inci "Aqua" cas 7732-18-4'))
    assert "7732-18-4 is no CAS number" in packs.problems[0].message


def test_a_pack_with_mistakes_keeps_its_sound_rules(link: Link, core: str) -> None:
    body = rule("separate retinol from.") + rule("never use retinol.", "two") + rule("never retinol.", "three")
    packs = link(core, pack("acids", body))
    assert ids(packs) == ["acids.two"]
    assert [(problem.level, problem.pack) for problem in packs.problems] == [("error", "acids")] * 2
    assert list(packs.sources) == ["2.rules"]


def test_what_speaks_of_a_declaration_with_a_mistake_is_told_once(link: Link, core: str) -> None:
    body = "group bad means retinol with.\n" + rule("never use bad.") + rule("never use bad.", "two")
    packs = link(core, pack("acids", body))
    assert packs.rules == ()
    assert len(packs.problems) == 2
    assert (
        packs.problems[-1].message
        == "bad is itself at fault (see its own message), so the rule one and the rule two are left out."
    )


def test_an_example_with_an_unknown_name_leaves_its_rule_in_force(link: Link, core: str) -> None:
    packs = link(core, pack("acids", rule("never use retinol.", rest="  breaks evening: retinoll 1 %")))
    assert ids(packs) == ["acids.one"]
    (problem,) = packs.problems
    assert problem.message.endswith("; an example of the rule one cannot be checked.")
    assert problem.suggestion == "retinol"


def test_a_file_that_is_no_text(core: str) -> None:
    packs = link_files(
        [(PackFile("/c", "c.rules", GIVEN), core.encode()), (PackFile("/x", "x.rules", GIVEN), b"pack x 1.0.0\n\xff")]
    )
    assert [each.name for each in packs.packs] == ["core"]
    assert packs.problems[0].message == "x.rules is not UTF-8 text (line 2), so none of it is used."


def test_a_byte_order_mark_does_not_shift_places() -> None:
    text = "\ufeffpack a 1.0.0\nrule one caution\n  never use retinol.\n"
    packs = link_files([(PackFile("/a", "a.rules", GIVEN), text.encode())])
    assert [quoted(packs, number) for number, problem in enumerate(packs.problems) if "retinol" in problem.message] == [
        "retinol"
    ]


def test_the_order_of_files_changes_nothing(link: Link, core: str) -> None:
    acids = pack("acids", "group acid means strong-acid or retinol.\n" + rule("never use acid."))
    night = pack("night", 'family night-active "n"\nsubstance retinol in night-active\n' + rule("never use night-active."))
    one, two = link(core, acids, night), link(night, acids, core)
    assert one.world == two.world
    assert ids(one) == ids(two)


TELL = """
import sys
from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile
texts = sys.argv[1:]
packs = link_files([(PackFile(f"/{n}", f"{n}.rules", GIVEN), text.encode()) for n, text in enumerate(texts)])
print(packs.problems, packs.packs)
print([(rule.id, sorted(rule.triggers or ())) for rule in packs.rules])
print(packs.world.areas, packs.world.labels, list(packs.world.groups), [(k, sorted(v)) for k, v in packs.world.members.items()])
"""


def test_nothing_depends_on_the_order_of_sets(core: str) -> None:
    families = "".join(f'family f{n} "f" in f{(n + 1) % 7}\n' for n in range(7))
    groups = "group a means b or c.\ngroup b means c or a.\ngroup c means f1 or a or b or retinoll.\n"
    acids = pack("acids", families + groups + rule("separate a or retinol or adapalene from b or retinoid by day."))
    told = [
        subprocess.run(
            [sys.executable, "-c", TELL, core, acids],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    ]
    assert told[0] == told[1] == told[2] != b""


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_lines_may_be_missing_or_doubled_anywhere(link: Link, core: str, data: st.DataObject) -> None:
    """Whatever an unfinished edit leaves behind is told as problems; rules that are in force name only what there is."""
    acids = pack("acids", "group a means strong-acid or retinol.\n" + rule("separate a from adapalene on face by routine."))
    texts = []
    for text in (core, acids):
        lines = text.splitlines()
        at = data.draw(st.integers(0, len(lines) - 1))
        lines[at : at + 1] = [lines[at]] * data.draw(st.sampled_from((0, 2)))
        texts.append("\n".join(lines))
    packs = link(*texts)
    assert packs.rules or packs.problems
    for linked in packs.rules:
        assert linked.triggers
        assert linked.triggers <= {*packs.world.substances, *packs.world.families}
