"""A step as it is announced, its parts as they are told, and the sentences that all of it is made of."""

from __future__ import annotations

from datetime import timedelta

import pytest

from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Procedure, Step
from handsfree.text.prose import counted, duration, listed, numbered, sentence, sentences, time_left
from handsfree.wording import instructions


def procedure(*steps: str) -> Procedure:
    lines = "".join(f"  - {{id: s{number}, {text}}}\n" for number, text in enumerate(steps, 1))
    return parse_procedure(f"title: t\nitem: i\nrevision: 1\nsteps:\n{lines}".encode(), "p.yaml").procedure


def step(text: str) -> Step:
    return procedure(text).steps[0]


def test_danger_comes_first_then_the_act_then_what_is_asked_for() -> None:
    said = instructions.step_words(
        step(
            "do: hook the spring on, dangers: it is loaded, cautions: [Do not bend it., Keep it dry.], tray: two, "
            "fasteners: {size: M2 x 5, left-hand thread: true}, marks: {name: top, where: across both}, "
            "measure: {name: gap, unit: thou, at most: 3}, check: Does it run free?, wait: 5 minutes"
        ),
        4,
    )
    assert said == (
        "Danger. It is loaded. Step four. Hook the spring on. Tray two. Make the mark top: across both. "
        "Left-hand thread. Do not bend it. Keep it dry. "
        "Log gap, at most three thou. Wait five minutes; say start the timer. Check: Does it run free?"
    )


def test_a_plain_step_is_its_number_and_its_act() -> None:
    assert instructions.step_words(step("do: Press it."), 1) == "Step one. Press it."


def test_a_left_hand_thread_that_a_caution_tells_of_is_told_once() -> None:
    left = "do: Screw it out., fasteners: {size: M2 x 5, left-hand thread: true}"
    told = step(f"{left}, cautions: Left-hand thread. Turn it clockwise.")
    assert instructions.step_words(told, 1) == "Step one. Screw it out. Left-hand thread. Turn it clockwise."
    within = step(f"{left}, cautions: The nut has a left-hand thread.")
    assert instructions.step_words(within, 1) == "Step one. Screw it out. The nut has a left-hand thread."
    act = step("do: Undo the left-hand screw., fasteners: {size: M2 x 5, left-hand thread: true}")
    assert instructions.step_words(act, 1) == "Step one. Undo the left-hand screw."
    side = step(f"{left}, cautions: Mind the left-hand side.")
    assert "Left-hand thread." in instructions.step_words(side, 1)
    other = step(f"{left}, cautions: Do not slip.")
    assert instructions.step_words(other, 1) == "Step one. Screw it out. Left-hand thread. Do not slip."


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("size: M2 x 5", "One M two by five."),
        ("size: M2 x 5, count: 4, head: cheese head, finish: blued, where: the cover, tighten: firm",
         "Four M two by five, cheese head, blued, the cover, firm."),
        ("size: M2 x 5, left-hand thread: true", "One M two by five. Left-hand thread."),
        ("size: M2 x 5, finish: left-hand thread, left-hand thread: true", "One M two by five, left-hand thread."),
        ("size: 4-40 x 5/32 in", "One four forty by five thirty seconds."),
    ],
)  # fmt: skip
def test_a_fastener_is_told_with_all_that_is_known_of_it(part: str, said: str) -> None:
    assert instructions.fastener(step(f"do: x, fasteners: {{{part}}}").fasteners[0]) == said


@pytest.mark.parametrize(
    ("part", "said"),
    [("which: oil", "Oil."), ("which: oil, where: the pivot, how much: one drop", "Oil, the pivot, one drop.")],
)
def test_a_lubricant_is_told_with_where_and_how_much(part: str, said: str) -> None:
    assert instructions.lubricant(step(f"do: x, lubricant: {{{part}}}").lubricants[0]) == said


@pytest.mark.parametrize(
    ("tray", "said"),
    [
        ("three", "Tray three."),
        ("the small tray", "The small tray."),
        ("Tray A", "Tray A."),
        ("one and twelve", "Trays one and twelve."),
    ],
)
def test_a_tray_is_called_one_once(tray: str, said: str) -> None:
    assert instructions.tray(step(f"do: x, tray: {tray}")) == said


def test_without_a_tray_and_marks_nothing_is_said_of_them() -> None:
    plain = step("do: x")
    assert (instructions.tray(plain), instructions.marks(plain), instructions.dangers(plain)) == ("", "", "")
    assert instructions.asked_for(plain) == ""


def test_marks_are_made_or_found_and_meet_again() -> None:
    made = procedure(
        "do: x, marks: [{name: top, where: across both}, {name: scribed mark, where: the rim, made already: true}]",
        "do: y, meets: top",
    ).steps
    assert instructions.marks(made[0]) == "Make the mark top: across both. Find the scribed mark: the rim."
    assert instructions.marks(made[1]) == "The mark top meets: across both."


@pytest.mark.parametrize(
    ("measure", "said"),
    [
        ("{name: gap, unit: thou, limits: [1.5, 3]}", "Log gap, one point five to three thou."),
        ("{name: gap, unit: thou, at least: 2}", "Log gap, at least two thou."),
        ("{name: gap, unit: thou}", "Log gap."),
        ("[{name: gap, unit: thou}, {name: play, unit: mm, at most: 1}]", "Log gap. Log play, at most one millimetre."),
    ],
)
def test_figures_are_asked_for_with_their_limits(measure: str, said: str) -> None:
    assert instructions.asked_for(step(f"do: x, measure: {measure}")) == said


# The few rules of English


@pytest.mark.parametrize(
    ("text", "said"),
    [("fit the  gib", "Fit the gib."), ("Does it run?", "Does it run?"), ("stop!", "Stop!"), ("", ""), ("a", "A."),
     ("Fit it.", "Fit it.")],
)  # fmt: skip
def test_a_sentence_begins_with_a_capital_and_ends_with_a_mark(text: str, said: str) -> None:
    assert sentence(text) == said


def test_sentences_leave_out_what_is_empty() -> None:
    assert sentences(["fit it", "", "oil it."]) == "Fit it. Oil it."


def test_lists_are_joined_with_and() -> None:
    assert [listed(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]
    assert listed(["a", "b", "c"], "or") == "a, b or c"
    assert (numbered(["one"]), numbered(["one", "three"])) == ("step one", "steps one and three")


@pytest.mark.parametrize(
    ("count", "said"), [(0, "no steps"), (1, "one step"), (2, "two steps"), (21, "twenty one steps")]
)
def test_things_are_counted(count: int, said: str) -> None:
    assert counted(count, "step") == said
    assert counted(2, "entry", "entries") == "two entries"
    assert counted(1, "entry", "entries") == "one entry"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "no time"), (0.4, "no time"), (0.6, "one second"), (40, "forty seconds"), (59.6, "one minute"),
        (60, "one minute"), (61, "one minute and one second"), (600, "ten minutes"),
        (3600, "one hour"), (3900, "one hour and five minutes"), (3665, "one hour and one minute"),
        (7201, "two hours and one second"), (90061, "twenty five hours and one minute"),
    ],
)  # fmt: skip
def test_a_length_of_time_is_told_in_two_units_at_most(seconds: float, said: str) -> None:
    assert duration(seconds) == said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-5, "no time"), (30, "thirty seconds"), (150, "two minutes and thirty seconds"), (180, "three minutes"),
        # Beyond three minutes nobody wants the seconds.
        (181, "three minutes"), (215, "four minutes"), (600, "ten minutes"),
    ],
)  # fmt: skip
def test_a_running_time_is_told_in_whole_minutes_beyond_three(seconds: int, said: str) -> None:
    assert time_left(timedelta(seconds=seconds)) == said
