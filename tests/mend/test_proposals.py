"""What is proposed, requirement by requirement, and what is never done."""

from __future__ import annotations

from files import document, judges, plan, says, search_one

from dermalint.mend.plan import moved, plan_of

APART = "separate hydroxy-acid from retinoid by routine."


def test_two_that_share_an_evening_are_parted_by_moving_one_to_the_morning() -> None:
    read = plan("routines:\n  - {slot: evening, days: [monday], steps: [acid, night]}\n")
    found = search_one(judges(APART), read)
    assert found.proven[0].gone == 1
    assert "Move acid from Monday evening to Monday morning." in says(found)


def test_of_two_changes_the_one_that_moves_fewer_applications_comes_first() -> None:
    read = plan(
        "routines:\n  - {slot: evening, days: [monday, tuesday], steps: [night]}\n"
        "  - {slot: evening, days: [wednesday], steps: [acid, night]}\n"
    )
    found = search_one(judges(APART, "never use hydroxy-acid in the morning.", "use retinoid only in the evening."), read)
    assert [proven.gone for proven in found.proven] == sorted(proven.gone for proven in found.proven)
    assert says(found)[0] in ("Move acid from Wednesday evening to Thursday evening.",)


def test_a_wait_is_added_between_the_two() -> None:
    read = plan("routines:\n  - slot: evening\n    steps:\n      - acid\n      - cream\n")
    found = search_one(judges("wait 20 minutes after hydroxy-acid before moisturiser."), read)
    assert says(found)[0] == "Wait 20 minutes after acid before cream."
    assert "      - wait: 20 min\n      - cream\n" in found.proven[0].document.source.text


def test_a_wait_that_is_there_is_made_longer() -> None:
    read = plan("routines:\n  - slot: evening\n    steps:\n      - acid\n      - wait: 5 min   # tea\n      - cream\n")
    found = search_one(judges("wait 20 minutes after hydroxy-acid before moisturiser."), read)
    assert says(found)[0] == "Wait 15 minutes more after acid before cream."
    assert "      - wait: 20 min   # tea\n" in found.proven[0].document.source.text


def test_steps_are_reordered_and_no_application_moves() -> None:
    read = plan("routines:\n  - {slot: evening, steps: [cream, wash]}\n")
    found = search_one(judges("apply cleanser before moisturiser."), read)
    assert found.proven[0].gone == 0
    assert "steps: [wash, cream]" in found.proven[0].document.source.text


def test_what_is_used_too_often_is_used_less_often_on_days_that_lie_apart() -> None:
    read = plan("routines:\n  - {slot: evening, steps: [wash, acid]}\n")
    found = search_one(judges("use hydroxy-acid at most 3 days per week."), read)
    assert found.proven[0].gone == 4
    days = plan_of(found.proven[0].document.reading.regimens[0])
    with_acid = next(row.days for row in days.rows if len(row.steps) == 2)
    assert with_acid is not None
    assert all((later - earlier) % 7 > 1 for earlier, later in zip(sorted(with_acid), sorted(with_acid)[1:], strict=False))


def test_a_part_of_the_skin_is_left_out() -> None:
    read = plan("routines:\n  - {slot: evening, steps: [night]}\n")
    found = search_one(judges("never use retinoid on eye-area."), read)
    assert says(found)[0] == "Leave the eye area out when night is applied."
    assert "{product: night, except: [eye-area]}" in found.proven[0].document.source.text


def test_the_area_a_product_is_meant_for_is_never_left_out() -> None:
    read = plan("routines:\n  - {slot: evening, days: [monday], steps: [{product: night, areas: [face, neck]}, acid]}\n")
    assert not [say for say in says(search_one(judges(APART), read)) if "Leave" in say]


def test_a_companion_that_the_file_declares_is_added() -> None:
    read = plan("routines:\n  - {slot: morning, days: [sunday], steps: [shield]}\n  - {slot: evening, steps: [acid]}\n")
    found = search_one(judges("after hydroxy-acid expect sunscreen every morning for 2 days."), read)
    assert says(found)[0].startswith("Add shield on Monday")
    assert found.proven[0].gone == 0


def test_a_product_that_is_used_too_rarely_is_used_on_further_days() -> None:
    read = plan("routines:\n  - {slot: evening, days: [monday, tuesday], steps: [wash, night]}\n")
    found = search_one(judges("use retinol at least 3 days per week."), read)
    assert says(found)[0] == "Use night more often: on Friday evening, too."
    assert found.proven[0].gone == 0
    assert "days: [friday], steps: [wash, night]" not in found.proven[0].document.source.text  # the wash was not asked for
    only = search_one(judges("use retinol at least 3 days per week.", "never use retinol in the evening."), read)
    assert all("morning" in say for say in says(only))
    prescribed = plan("routines:\n  - {slot: evening, days: [monday], steps: [clinic]}\n")
    assert not search_one(judges("use tretinoin at least 3 days per week."), prescribed).proven


def test_a_course_without_an_end_is_given_one_where_the_file_has_phases() -> None:
    course = "use hydroxy-acid for at most 8 weeks."
    first = "{for: 2 weeks, routines: [{slot: evening, days: [monday], steps: [acid]}]}"
    for last, ended in (
        ("cycle: 7 days\n    routines:\n      - {slot: evening, steps: [acid]}", "cycle: 7 days\n    for: 6 weeks\n"),
        ("routines:\n      - {slot: evening, steps: [acid]}", "  - for: 6 weeks\n    routines:\n"),
        ("{routines: [{slot: evening, steps: [acid]}]}", "  - {for: 6 weeks, routines: ["),
    ):
        read = plan(f"phases:\n  - {first}\n  - {last}\n")
        found = search_one(judges(course), read)
        assert says(found)[0] == "End phase 2 after 6 weeks."
        assert ended in found.proven[0].document.source.text
    assert not search_one(judges(course), plan("routines: [{slot: evening, steps: [acid]}]\n")).proven
    beside = read.source.text.replace("{routines: [{slot: evening, steps: [", "{routines: [{slot: evening, steps: [clinic, ")
    assert not search_one(judges(course), document(beside)).proven  # what is prescribed would end, too


def test_fixed_weekdays_become_every_second_evening() -> None:
    read = plan(
        "routines:\n  - {slot: evening, days: [monday, wednesday, friday, sunday], steps: [wash, night]}\n"
        "  - {slot: evening, days: [tuesday, thursday, saturday], steps: [wash, cream]}\n"
    )
    found = search_one(judges("separate uses of retinol by 2 days."), read)
    (turned,) = [proven for proven in found.proven if "cycle of 2 days" in proven.mend.say]
    text = turned.document.source.text
    assert "cycle: 2 days" in text
    assert "days: [1], steps: [wash, night]" in text
    assert "days: [2], steps: [wash, cream]" in text


def test_weekdays_of_other_routines_stay_in_a_cycle_of_fourteen_days() -> None:
    read = plan(
        "routines:\n  - {slot: morning, days: [sunday], steps: [wash]}\n"
        "  - {slot: evening, days: [monday, wednesday, friday, sunday], steps: [night]}\n"
    )
    found = search_one(judges("separate uses of retinol by 2 days."), read)
    (turned,) = [proven for proven in found.proven if "cycle of 14 days" in proven.mend.say]
    assert "days: [7, 14], steps: [wash]" in turned.document.source.text


SHORT = """routines:
  - {slot: morning, steps: [wash]}
  - {slot: evening, days: [1], steps: [wash, night]}
  - {slot: evening, days: [2, 3], steps: [wash, cream]}
cycle: 3 days
"""


def test_in_a_cycle_too_short_for_it_a_product_is_used_every_second_time_round() -> None:
    found = search_one(judges("separate uses of retinol by 5 days."), plan(SHORT))
    assert says(found) == ["Use night every second time round: a cycle of 6 days instead of 3, without it on days 4 to 6."]
    text = found.proven[0].document.source.text
    assert "cycle: 6 days" in text
    assert "{slot: morning, steps: [wash]}" in text
    assert "days: [2, 3, 5, 6], steps: [wash, cream]" in text
    assert "days: [4], steps: [wash]" in text


def test_where_one_product_less_is_not_enough_both_rest() -> None:
    turns = plan(
        "routines:\n  - {slot: evening, days: [1], steps: [wash, acid]}\n  - {slot: evening, days: [2], steps: [wash, night]}\n"
        "cycle: 2 days\n"
    )
    rules = "use hydroxy-acid or retinoid at most 4 days per week.", "separate hydroxy-acid from retinoid by day."
    both = "Use acid and night every second time round: a cycle of 4 days instead of 2, without them on days 3 to 4."
    assert says(search_one(judges(*rules), turns)) == [both]


def test_what_a_week_holds_once_is_used_every_second_week() -> None:
    read = plan("routines:\n  - {slot: evening, days: [monday], steps: [acid]}\n  - {slot: morning, steps: [wash]}\n")
    found = search_one(judges("separate uses of hydroxy-acid by 10 days."), read)
    assert says(found) == ["Use acid every second week: a cycle of 14 days instead of 7, without it on days 8 to 14."]
    assert "cycle: 14 days" in found.proven[0].document.source.text


def test_several_products_are_left_out_on_whole_days_together() -> None:
    routines = "  - {slot: morning, steps: [acid]}\n  - {slot: evening, days: [2, 3], steps: [night]}\n"
    read = plan(f"cycle: 3 days\nroutines:\n{routines}")
    (found, *_) = search_one(judges("use hydroxy-acid or retinoid at most 3 days per week."), read).proven
    assert found.gone == 3
    assert found.mend.say == (
        "Use acid less often: leave it out on the morning of days 1 and 2. "
        "Use night less often: leave it out on the evening of day 2."
    )


def test_several_products_in_several_slots_are_left_out_on_the_same_days() -> None:
    both = "steps: [night, acid]"
    read = plan(f"cycle: 3 days\nroutines:\n  - {{slot: morning, {both}}}\n  - {{slot: evening, days: [2], {both}}}\n")
    (found, *_) = search_one(judges("use hydroxy-acid or retinoid at most 3 days per week."), read).proven
    assert found.gone == 4


def test_each_day_keeps_what_is_used_on_it_most() -> None:
    read = plan(
        "cycle: 3 days\nroutines:\n  - {slot: morning, steps: [night, acid]}\n"
        "  - {slot: evening, days: [2, 3], steps: [night]}\n  - {slot: evening, days: [1], steps: [acid]}\n"
    )
    (found, *_) = search_one(judges("separate hydroxy-acid from retinoid by day."), read).proven
    assert found.gone == 3
    assert found.mend.say == (
        "Use night less often: leave it out on the morning of day 1. "
        "Use acid less often: leave it out on the morning of days 2 and 3."
    )


def test_what_is_prescribed_keeps_its_days_in_a_longer_cycle() -> None:
    read = plan(SHORT.replace("[wash, cream]", "[wash, clinic]"))
    found = search_one(judges("separate uses of (retinol except prescribed any product) by 5 days."), read)
    assert "days: [2, 3, 5, 6], steps: [wash, clinic]" in found.proven[0].document.source.text


def test_sunscreen_is_applied_again_until_daylight_is_over() -> None:
    read = plan(
        "routines:\n  - {slot: morning, steps: [{product: shield, areas: [face]}]}\n",
        'outdoors:\n  - {days: every, from: "09:00", to: "15:00"}\n',
    )
    found = search_one(judges("in daylight expect sunscreen every 2 hours."), read)
    assert 'repeat: every 2 hours, until: "15:00"' in found.proven[0].document.source.text


def test_nothing_prescribed_is_touched() -> None:
    read = plan("routines:\n  - {slot: evening, steps: [acid, clinic]}\n")
    found = search_one(judges(APART), read)
    assert found.proven
    for proven in found.proven:
        assert "clinic" not in proven.mend.say
    one = plan("routines:\n  - {slot: evening, steps: [clinic, wash]}\n")
    order = search_one(judges("apply cleanser before retinoid."), one)
    assert all("clinic" not in say.partition(" directly ")[0] for say in says(order))


def test_no_product_is_given_up_and_no_strength_changed() -> None:
    read = plan("routines:\n  - {slot: evening, days: [monday], steps: [night]}\n")
    assert not search_one(judges("never use retinoid."), read).proven
    assert not search_one(judges("limit strength of retinol to at most 0.1 %."), read).proven


def test_two_changes_together_where_one_is_not_enough() -> None:
    read = plan("cycle: 2 days\nroutines:\n  - {slot: morning, steps: [night]}\n  - {slot: evening, steps: [acid]}\n")
    found = search_one(judges("use retinoid only in the evening.", APART), read)
    assert found.proven
    assert found.proven[0].gone == 3  # one evening of retinol, with no acid beside it


def test_a_product_of_two_slots_is_left_out_on_whole_days() -> None:
    read = plan("routines:\n  - {slot: morning, steps: [night]}\n  - {slot: evening, steps: [night]}\n")
    found = search_one(judges("separate uses of retinol by 2 days."), read)
    assert found.proven
    assert found.proven[0].gone == 8


def test_phases_are_mended_one_after_the_other() -> None:
    phase = "routines: [{slot: evening, steps: [acid]}]"
    read = plan(f"phases:\n  - {{for: 2 weeks, {phase}}}\n  - {{{phase}}}\n")
    found = search_one(judges("use hydroxy-acid at most 3 days per week."), read)
    assert found.proven
    before, after = (plan_of(one.reading.regimens[0]) for one in (read, found.proven[0].document))
    assert moved(before, after)[0] == found.proven[0].gone == 8
