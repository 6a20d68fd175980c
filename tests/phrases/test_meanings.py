"""What can be said, phrase by phrase, with what it means; and what is so near that it must mean nothing."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from importlib import import_module
from typing import Any

import pytest

from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.sums.asked import Convert, ErrorOf, Percent, PieceCombination, Sum, Total, Travel
from handsfree.measure.threads import fastener_size, metric
from handsfree.phrases.breath import Breath, in_one_breath, is_beginning, joined
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.continuation import may_go_on
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.disassembly.removal import Marking, Removal
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.quantities.spelling import spelled
from handsfree.phrases.quantities.sums import sums_in
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.words import KnownWords
from handsfree.text.english import English, choose, chosen

WORKING = Language(
    Vocabulary(
        characteristics={"end play": "end play", "play": "end play", "stop gap": "stop gap"},
        units={"end play": "thou", "stop gap": "mm"},
        timers=("varnish",),
        tools={"feelers": "feeler blades"},
        answers=("early", "late"),
        procedures={"cleaning": "cleaning the latch"},
    )
)
STRIPPING = StrippingLanguage(Vocabulary(words=KnownWords(parts=("wig wag",))))


def fig(text: str, unit: str | None = None) -> Figure:
    return figure_from_text(text, unit)


def part(text: str, unit: str) -> Figure:
    return Figure(Fraction(text), None, unit)


def pitch(written: str) -> Any:
    return fastener_size(written).thread


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("convert four thou to millimetres", Convert(fig("4", "thou"), "mm")),
        ("what is four thou in millimetres", Convert(fig("4", "thou"), "mm")),
        ("what is four thou plus half a thou", Total(fig("4", "thou"), part("1/2", "thou"))),
        ("what is ten thou minus two thou", Total(fig("10", "thou"), fig("2", "thou"), -1)),
        ("blades for four thou", PieceCombination("blades", fig("4", "thou"))),
        ("shims for point two millimetres", PieceCombination("shims", fig("0.2", "mm"))),
        ("percent of target four thou", Percent(fig("4", "thou"))),
        ("what percent is four thou of five thou", Percent(fig("4", "thou"), fig("5", "thou"))),
        ("error of four thou", ErrorOf(fig("4", "thou"))),
        ("error of four thou on five thou", ErrorOf(fig("4", "thou"), fig("5", "thou"))),
        ("error of four thou against five thou", ErrorOf(fig("4", "thou"), fig("5", "thou"))),
        ("travel of m two in three turns", Travel(fig("3", "turn"), metric("2"))),
        ("travel of m two and a half in one turn", Travel(fig("1", "turn"), metric("2.5"))),
        ("travel of m two point five in one turn", Travel(fig("1", "turn"), metric("2.5"))),
        ("travel of eight b a in half a turn", Travel(part("1/2", "turn"), pitch("8 BA"))),
        ("travel of oh b a in one turn", Travel(fig("1", "turn"), pitch("0 BA"))),
        ("travel of zero b a in one turn", Travel(fig("1", "turn"), pitch("0 BA"))),
        ("travel of quarter whitworth in one turn", Travel(fig("1", "turn"), pitch("1/4 BSW"))),
        ("travel of quarter inch whitworth in one turn", Travel(fig("1", "turn"), pitch("1/4 BSW"))),
        ("travel of quarter inch b s f in one turn", Travel(fig("1", "turn"), pitch("1/4 BSF"))),
        ("travel of six thirty two in one turn", Travel(fig("1", "turn"), pitch("6-32"))),
        ("travel of two start m three in one turn", Travel(fig("1", "turn"), metric("3"), starts=2)),
        ("travel of three start m three in one turn", Travel(fig("1", "turn"), metric("3"), starts=3)),
        ("travel of four start m three in one turn", Travel(fig("1", "turn"), metric("3"), starts=4)),
        ("travel of point five millimetres pitch in three turns", Travel(fig("3", "turn"), None, fig("0.5", "mm"))),
        ("travel of six start point five millimetres pitch in one turn",
         Travel(fig("1", "turn"), None, fig("0.5", "mm"), 6)),
    ],
)  # fmt: skip
def test_sums_as_they_are_asked_for(said: str, asked: Sum) -> None:
    assert WORKING.interpret_text(said) == (Intent(Kind.SUM, sum=asked),)


def test_a_time_in_two_units_is_converted_whatever_is_measured() -> None:
    meant = sums_in(("thou",)).meanings(plain_words("convert two minutes ten seconds to seconds"))
    assert meant == [Convert(Figure(Fraction(130), 0, "s", larger="min"), "s")]


def test_threads_are_understood_the_same_where_figures_are_said_in_american_english(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    name = "handsfree.phrases.quantities.threads"
    british = {thread.written: ways for thread, ways in import_module(name).SAID.items()}
    monkeypatch.delitem(sys.modules, name)
    choose(English.AMERICAN)
    try:
        american = {thread.written: ways for thread, ways in import_module(name).SAID.items()}
        assert chosen() is English.AMERICAN
    finally:
        choose(English.BRITISH)
    assert american == british
    assert "nought b a" in british["0 BA"]


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("two screws", {"what": "screw", "count": 2}),
        ("a screw", {"what": "screw"}),
        ("the screw", {"what": "screw"}),
        ("forty screws", {"what": "screw", "count": 40}),
        ("an upper circlip", None),
        ("one taper pin", {"what": "taper pin"}),
        ("three washers", {"what": "washer", "count": 3}),
        ("two screws m two by five cheese head blued left hand thread from the top",
         {"what": "screw", "count": 2, "size": "M2 x 5", "head": "cheese head", "finish": "blued", "left_hand": True,
          "place": "the top"}),
        ("a screw flat side up from the front cover",
         {"what": "screw", "way": "flat side up", "place": "the front cover"}),
        ("a screw m two", {"what": "screw", "size": "M2"}),
        ("a screw m two by five and a half", {"what": "screw", "size": "M2 x 5.5"}),
        ("a screw m two by nineteen point five", {"what": "screw", "size": "M2 x 19.5"}),
        ("a screw m two by nineteen and a half", {"what": "screw", "size": "M2 x 19.5"}),
        ("a screw m two by sixty", {"what": "screw", "size": "M2 x 60"}),
        ("a screw m two by one", {"what": "screw", "size": "M2 x 1"}),
        ("a screw eight b a", {"what": "screw", "size": "8 BA"}),
        ("a screw eight b a by three sixteenths", {"what": "screw", "size": "8 BA x 3/16 in"}),
        ("a screw eight b a by a quarter of an inch", {"what": "screw", "size": "8 BA x 1/4 in"}),
        ("a screw eight b a by one quarter inch", {"what": "screw", "size": "8 BA x 1/4 in"}),
        ("a screw eight b a by an eighth", {"what": "screw", "size": "8 BA x 1/8 in"}),
        ("a screw eight b a by half inch", {"what": "screw", "size": "8 BA x 1/2 in"}),
        ("a screw eight b a by a half", {"what": "screw", "size": "8 BA x 1/2 in"}),
        ("a screw eight b a by one inch", {"what": "screw", "size": "8 BA x 1 in"}),
        ("a screw eight b a by an inch", {"what": "screw", "size": "8 BA x 1 in"}),
        ("a screw eight b a by two inches", {"what": "screw", "size": "8 BA x 2 in"}),
        ("a screw eight b a by three inches", {"what": "screw", "size": "8 BA x 3 in"}),
        ("a screw six thirty two by one and a half", {"what": "screw", "size": "6-32 x 1 1/2 in"}),
        ("a screw six thirty two by two and a quarter inches", {"what": "screw", "size": "6-32 x 2 1/4 in"}),
        ("a screw six thirty two by eleven thirty seconds", {"what": "screw", "size": "6-32 x 11/32 in"}),
        # What nobody says, or what would be another screw.
        ("a screw m two by sixty one", None),
        ("a screw m two by twenty point five", None),
        ("a screw m two by half", None),
        ("a screw m seven by ten", None),
        ("a screw eight b a by two eighths", None),
        ("a screw eight b a by three and a quarter", None),
        ("a screw eight b a m two", None),
        ("forty one screws", None),
        ("screw", None),
        ("nought screws", None),
    ],
)  # fmt: skip
def test_fasteners_that_came_off(said: str, slots: dict[str, Any] | None) -> None:
    expected = () if slots is None else (Intent(Kind.REMOVED, removal=Removal("fastener", **slots)),)
    for off in ("removed", "took off", "took out"):
        assert STRIPPING.interpret_text(f"{off} {said}") == expected


@pytest.mark.parametrize(
    ("said", "removal"),
    [
        ("took off the front cover", Removal("part", "front cover")),
        ("removed an arm", Removal("part", "arm")),
        ("removed a bridge from the bottom left", Removal("part", "bridge", place="the bottom left")),
        ("took out two springs", Removal("part", "spring", 2)),
        ("removed one spring", Removal("part", "spring")),
        ("removed the wig wag open end down", Removal("part", "wig wag", way="open end down")),
        ("removed three wig wags", Removal("part", "wig wag", 3)),
        ("shim point one millimetres", Removal("shim", "shim", thickness=fig("0.1", "mm"))),
        ("removed two shims five thou from the top",
         Removal("shim", "shim", 2, thickness=fig("5", "thou"), place="the top")),
        ("a spacer two millimetres", Removal("shim", "spacer", thickness=fig("2", "mm"))),
    ],
)  # fmt: skip
def test_parts_and_shims_that_came_off(said: str, removal: Removal) -> None:
    assert STRIPPING.interpret_text(said) == (Intent(Kind.REMOVED, removal=removal),)


@pytest.mark.parametrize(
    ("said", "marking"),
    [
        ("mark made", Marking("mark")),
        ("marks made on the cover", Marking("mark", "the cover", ("cover",))),
        ("one line made at the bottom", Marking("one line", "the bottom")),
        ("scribed a line on the cover", Marking("one line", "the cover", ("cover",))),
        ("one dot on the upper bridge", Marking("one dot", "the upper bridge", ("upper bridge",))),
        ("two dots across the cover and the body", Marking("two dots", "the cover and the body", ("cover", "body"))),
        ("two dots across cover and body", Marking("two dots", "the cover and the body", ("cover", "body"))),
    ],
)
def test_marks_that_were_made(said: str, marking: Marking) -> None:
    assert STRIPPING.interpret_text(said) == (Intent(Kind.MARKED, marking=marking),)


@pytest.mark.parametrize(
    ("said", "intent"),
    [
        ("tray three", Intent(Kind.PUT_IN_TRAY, tray=3)),
        ("in tray forty", Intent(Kind.PUT_IN_TRAY, tray=40)),
        ("into tray one", Intent(Kind.PUT_IN_TRAY, tray=1)),
        ("what is in tray two", Intent(Kind.IN_TRAY, tray=2)),
        ("what has no tray", Intent(Kind.IN_TRAY)),
        ("upper end play four thou",
         Intent(Kind.LOG, characteristic="upper end play", figure=fig("4", "thou"), occasion="as found")),
        ("log backlash as found four thou",
         Intent(Kind.LOG, characteristic="backlash", figure=fig("4", "thou"), occasion="as found")),
        ("as found gap two thou",
         Intent(Kind.LOG, characteristic="gap", figure=fig("2", "thou"), occasion="as found")),
        ("wig wag clearance four thou",
         Intent(Kind.LOG, characteristic="wig wag clearance", figure=fig("4", "thou"), occasion="as found")),
        ("read back", Intent(Kind.READ_BACK)),
    ],
)  # fmt: skip
def test_trays_and_figures_while_taking_apart(said: str, intent: Intent) -> None:
    assert STRIPPING.interpret_text(said) == (intent,)


@pytest.mark.parametrize(
    "said", ["tray forty one", "three lines", "next", "skip this step", "removed wig wags", "one dot made of"]
)
def test_what_cannot_be_said_while_taking_apart(said: str) -> None:
    assert STRIPPING.interpret_text(said) == ()


LOG = Intent(Kind.LOG)


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("log end play four thou", {"characteristic": "end play", "figure": fig("4", "thou")}),
        ("write down play four", {"characteristic": "end play", "figure": fig("4")}),
        ("log end play as left four thou",
         {"characteristic": "end play", "occasion": "as left", "figure": fig("4", "thou")}),
        ("log as found four thou", {"occasion": "as found", "figure": fig("4", "thou")}),
        ("log four thou with the feelers", {"figure": fig("4", "thou"), "tool": "feeler blades"}),
        ("log four drags", {"figure": fig("4"), "feel": "drags"}),
        ("log four thou is free", {"figure": fig("4", "thou"), "feel": "free"}),
        ("log four goes five thou won't", {"figure": fig("4", "thou"), "upper": fig("5", "thou")}),
        ("log four thou goes five won't go", {"figure": fig("4", "thou"), "upper": fig("5", "thou")}),
        ("log plus two", {"figure": fig("2"), "deviation": True}),
        ("log plus two thou", {"figure": fig("2", "thou"), "deviation": True}),
        ("log plus two minus one thou",
         {"figure": fig("-1", "thou"), "upper": fig("2", "thou"), "deviation": True}),
        ("log plus two minus one", {"figure": fig("-1"), "upper": fig("2"), "deviation": True}),
    ],
)  # fmt: skip
def test_figures_as_they_are_logged(said: str, slots: dict[str, Any]) -> None:
    assert WORKING.interpret_text(said) == (Intent(Kind.LOG, **slots),)


@pytest.mark.parametrize(
    ("said", "intent"),
    [
        ("wrong make it four thou", Intent(Kind.CORRECT, figure=fig("4", "thou"))),
        ("no make it four thou", Intent(Kind.CORRECT, figure=fig("4", "thou"))),
        ("make that four thou", Intent(Kind.CORRECT, figure=fig("4", "thou"))),
        ("correction four thou", Intent(Kind.CORRECT, figure=fig("4", "thou"))),
        ("read back stop gap", Intent(Kind.READ_BACK, characteristic="stop gap")),
        ("readings of play", Intent(Kind.READINGS, characteristic="end play")),
        ("what was play last time", Intent(Kind.LAST_TIME, characteristic="end play")),
        ("go to step ninety nine", Intent(Kind.GO_TO, step=99)),
        ("go to step one hundred", None),
        ("redo step two", Intent(Kind.REDO, step=2)),
        ("redo this step", Intent(Kind.REDO)),
        ("skip not fitted", Intent(Kind.SKIP, reason="not fitted")),
        ("accept it within wear", Intent(Kind.ACCEPT, reason="within wear")),
        ("change to cleaning", Intent(Kind.CHANGE_PROCEDURE, name="cleaning the latch")),
        ("late", Intent(Kind.ANSWER, answer="late")),
        ("middle", None),
        ("end play is four thou", Intent(Kind.FIGURE, characteristic="end play", figure=fig("4", "thou"))),
        ("four thou", Intent(Kind.FIGURE, figure=fig("4", "thou"))),
        ("timer varnish ten minutes", Intent(Kind.TIMER_START, name="varnish", figure=fig("10", "min"))),
        ("start bath timer half an hour", Intent(Kind.TIMER_START, name="bath", figure=fig("30", "min"))),
        ("timer half a minute", Intent(Kind.TIMER_START, figure=fig("30", "s"))),
        ("timer a minute", Intent(Kind.TIMER_START, figure=fig("1", "min"))),
        ("timer an hour", Intent(Kind.TIMER_START, figure=fig("1", "h"))),
        ("timer two and a half minutes", Intent(Kind.TIMER_START, figure=fig("2.5", "min"))),
        ("start the timer", Intent(Kind.TIMER_START)),
        ("stop bath timer", Intent(Kind.TIMER_STOP, name="bath")),
        ("how long is left on bath", Intent(Kind.TIMER_LEFT, name="bath")),
        ("eight screws out", Intent(Kind.COUNT_PARTS, name="screw", count=8, way="out")),
        ("log one spring replaced", Intent(Kind.COUNT_PARTS, name="spring", count=1, way="replaced")),
        ("one screw out", Intent(Kind.COUNT_PARTS, name="screw", count=1, way="out")),
        ("eight screw out", None),
        ("serial number alpha bravo four double oh", Intent(Kind.CODE, name="serial", text="AB400")),
        ("item number niner triple two dash x ray", Intent(Kind.CODE, name="item", text="9222-X")),
        ("add to it four stroke one", Intent(Kind.MORE_CODE, text="4/1")),
        ("serious finding", Intent(Kind.FACT, name="finding", text="serious")),
        ("note the complaint", Intent(Kind.FACT, name="complaint")),
        ("history of play", Intent(Kind.HISTORY, characteristic="end play")),
    ],
)
def test_other_commands_with_what_they_name(said: str, intent: Intent | None) -> None:
    assert WORKING.interpret_text(said) == (() if intent is None else (intent,))


def test_ten_signs_are_the_most_that_are_spelled_in_one_breath() -> None:
    assert WORKING.interpret_text("serial number " + "four " * 10) == (Intent(Kind.CODE, name="serial", text="4" * 10),)
    assert WORKING.interpret_text("serial number " + "four " * 11) == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [("AB400", "alpha bravo four, zero zero"), ("9-X", "nine dash x ray"), ("a 7", "alpha seven"), ("", ""),
     ("Ü1", "Ü one"), ("AB12", "alpha bravo, one two"), ("AB400/9", "alpha bravo four, zero zero, stroke nine"),
     ("1234567890", "one two three, four five, six seven eight, nine zero")],
)  # fmt: skip
def test_a_code_is_read_back_in_groups_of_two_and_three_and_no_sign_is_left_alone(text: str, said: str) -> None:
    assert spelled(text) == said


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Log 31.2 mm!", "log three one point two mm"),
        ("+5", "plus five"),
        ("-5", "minus five"),
        ("−5 thou", "minus five thou"),
        ("1,200 rpm", "one two nought nought r p m"),
        ("left-hand", "left hand"),
        ("won’t", "won't"),
        ("3/8", "three / eight"),
        ("4-5", "four / five"),
        ("end+play", "end play"),
    ],
)
def test_typed_text_as_plain_words(typed: str, words: str) -> None:
    assert " ".join(plain_words(typed)) == words


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("log end play four", "log end play four thou", True),
        ("log end play four", "log end play four millimetres", False),
        ("log four", "log four thou", False),
        ("log end play four minute", "log end play four minutes", True),
        ("log end play four mil", "log end play four mils", True),
        ("next", "next step", True),
        ("next", "back", False),
    ],
)
def test_what_makes_no_difference_has_one_meaning(one: str, other: str, same: bool) -> None:
    meanings = [WORKING.meaning(tuple(words.split())) for words in (one, other)]
    assert all(meanings)
    assert (meanings[0] == meanings[1]) is same


def test_what_is_no_command_has_no_meaning() -> None:
    assert WORKING.meaning(("good", "morning")) is None
    assert WORKING.meaning(()) is None
    assert WORKING.interpret(()) == ()


# In one breath


def breath(line: str) -> Breath | None:
    return in_one_breath(WORKING, tuple(line.split()))


def test_two_commands_in_one_breath_are_both_meant() -> None:
    said = breath("log end play four thou next")
    assert said is not None
    assert [intent.kind for intent in (*said.intents, *said.then)] == [Kind.LOG, Kind.NEXT]
    assert not said.unsure


def test_a_second_of_the_same_kind_replaces_the_first_and_is_doubtful() -> None:
    said = breath("log four log five thou")
    assert said is not None
    assert (said.intents[0].figure, said.then, said.unsure) == (fig("5", "thou"), (), True)
    # Of another characteristic it is a second entry.
    both = breath("log end play four thou log stop gap five thou")
    assert both is not None
    assert (both.intents[0].characteristic, both.then[0].characteristic, both.unsure) == ("end play", "stop gap", False)


def test_a_command_twice_is_one() -> None:
    four = (Intent(Kind.LOG, figure=fig("4")),)
    assert joined(four, four) == Breath(four)


@pytest.mark.parametrize(
    ("words", "beginning"),
    [("log", True), ("log end", True), ("log e", False), ("log en", False), ("lo", False), ("log pla", True),
     ("go to ste", True), ("tea", False), ("tea lo", False), ("next st", False), ("next ste", True)],
)  # fmt: skip
def test_the_beginning_of_a_command_may_be_broken_off_after_three_letters(words: str, beginning: bool) -> None:
    assert is_beginning(WORKING.automaton, tuple(words.split())) is beginning


@pytest.mark.parametrize(
    ("words", "goes_on"),
    [("next", False), ("stand by", False), ("where am i", False), ("step done", False), ("yes", False),
     ("log end play four thou", True), ("skip this step", True), ("read back", True), ("no", True),
     ("redo step twenty", True), ("good morning", True)],
)  # fmt: skip
def test_only_what_more_words_would_change_is_waited_for(words: str, goes_on: bool) -> None:
    assert may_go_on(WORKING, tuple(words.split())) is goes_on


def test_what_was_typed_took_no_time_and_its_sound_is_nothing_to_print() -> None:
    typed = Utterance(("next",), Hearing.CLEAR)
    assert (typed.start, typed.end, typed.seconds, typed.sound) == (0.0, 0.0, 0.0, None)
    assert (typed.typed, typed.text, typed.intents, typed.then) == (True, "next", (), ())
    assert "sound" not in repr(replace(typed, sound=[0.1] * 16_000))
    assert replace(typed, sound=[0.1]) == typed, "two that say the same are the same"


@pytest.mark.parametrize(
    "length", ["one seventy seconds", "twelve thirty minutes", "one five seconds thirty", "zero seconds"]
)
def test_a_length_that_no_timer_is_set_to_is_none(length: str) -> None:
    assert WORKING.interpret_text(f"timer {length}") == ()
