"""One grammar: what can be recognised can be understood, and what can be understood can be recognised."""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.setting_up import language_of, load_named
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.grammar import Many, automaton, either, maybe, seq
from handsfree.phrases.intents import Changes, Kind
from handsfree.phrases.language import Language, plain_words

LANGUAGE = language_of(load_named("focusing-slide").procedure)
STRIPPING = StrippingLanguage()


@given(st.randoms(use_true_random=False))
def test_what_can_be_said_is_recognised_and_understood(rng: random.Random) -> None:
    words = LANGUAGE.sample(rng)
    assert LANGUAGE.automaton.accepts(words)
    assert LANGUAGE.interpret(words)


def _walk(grammar: WordAutomaton, rng: random.Random) -> tuple[str, ...]:
    state, words = 0, []
    while not (state in grammar.finals and (not grammar.arcs[state] or rng.random() < 0.3)):
        word = rng.choice(sorted(grammar.arcs[state]))
        words.append(word)
        state = grammar.arcs[state][word]
    return tuple(words)


@given(st.randoms(use_true_random=False))
def test_what_a_recogniser_may_return_is_understood(rng: random.Random) -> None:
    words = _walk(LANGUAGE.automaton, rng)
    assert LANGUAGE.interpret(words), words


@pytest.mark.parametrize("kind", list(Kind))
def test_every_intent_can_be_said(kind: Kind) -> None:
    language = LANGUAGE if kind in {command.kind for command in LANGUAGE.commands} else STRIPPING
    if kind in (Kind.ANSWER, Kind.CHANGE_PROCEDURE, Kind.PROCEDURES, Kind.GO_TO_JOB):
        others = {"lathe spindle": "lathe-spindle"}
        language = Language(Vocabulary(answers=("early", "late"), procedures=others, jobs={"lathe": ("1",)}))
    meanings = language.interpret(language.sample(random.Random(1), kind))
    assert kind in {meaning.kind for meaning in meanings}


LISTED = frozenset({"second", "seconds", "thousandth", "thousandths"})
"""Words by which alone a phrase may have two meanings, parts of an inch or a unit: the step tells, or it is asked."""


def _short(grammar: WordAutomaton, longest: int) -> Iterator[tuple[str, ...]]:
    """Every phrase of at most ``longest`` words."""
    waiting: list[tuple[int, tuple[str, ...]]] = [(0, ())]
    while waiting:
        state, words = waiting.pop()
        if words and state in grammar.finals:
            yield words
        if len(words) < longest:
            waiting += [(following, (*words, word)) for word, following in grammar.arcs[state].items()]


CHANGING = frozenset({Changes.LOG, Changes.PLACE, Changes.ATTENDANCE, Changes.END})
SINGLE = {
    "next": "said hundreds of times a day; no clip of people's talk came near it",
    "note": "begins a note, which is told at once and of which nothing is taken for a command; none came near it",
}
"""Words that change the job although they are said alone, each with the reason why it may."""
TOO_SHORT = (
    "confirmed",
    "confirm",
    "accept",
    "done",
    "skip",
    "review",
    "complaint",
    "go on",
    "take it back",
    "add zero",
    "that is so",
    "leave it out",
    "this is one",
)
"""What talk or a stranger's single word was taken for."""


@cache
def _every_language() -> list[Language]:
    named = Vocabulary(
        {"gap": "gap"}, {"gap": "thou"}, ("bath",), {"blades": "blades"}, ("early",), {"lathe spindle": "lathe-spindle"}
    )
    return [LANGUAGE, Language(named), STRIPPING]


@pytest.mark.parametrize("language", _every_language(), ids=["procedure", "every sort of name", "taking apart"])
def test_no_word_alone_writes_moves_or_ends_but_those_that_may(language: Language) -> None:
    alone = {words[0]: language.interpret(words) for words in _short(language.automaton, 1)}
    assert {word for word, meant in alone.items() if any(one.kind.changes in CHANGING for one in meant)} <= set(SINGLE)


def test_a_word_alone_that_is_an_answer_is_one_of_these() -> None:
    alone = [intent for words in _short(LANGUAGE.automaton, 1) for intent in LANGUAGE.interpret(words)]
    answers = {intent.kind for intent in alone if intent.kind.changes is Changes.ASKED}
    assert answers == {Kind.YES, Kind.NO, Kind.FIGURE}
    assert all(kind.only_answers for kind in answers)


@pytest.mark.parametrize("said", TOO_SHORT)
def test_what_talk_was_taken_for_cannot_be_said(said: str) -> None:
    assert [language.interpret_text(said) for language in _every_language()] == [(), (), ()]


def test_every_phrase_of_two_words_has_one_meaning() -> None:
    phrases = list(_short(LANGUAGE.automaton, 2))
    assert len(phrases) > 3000
    assert [words for words in phrases if len(LANGUAGE.interpret(words)) != 1] == []


def test_longer_phrases_have_one_meaning_or_one_listed_question() -> None:
    # Every fiftieth of the hundred thousand phrases of three words, and longer ones by chance.
    phrases = [words for words in _short(LANGUAGE.automaton, 3) if len(words) == 3][::50]
    rng = random.Random(7)
    phrases += [LANGUAGE.sample(rng) for _ in range(2000)]
    assert len(phrases) > 3600
    meant = {words: LANGUAGE.interpret(words) for words in map(tuple, phrases)}
    assert [words for words, meanings in meant.items() if not meanings] == []
    double = {words: meanings for words, meanings in meant.items() if len(meanings) > 1}
    assert [words for words in double if not LISTED & set(words)] == []
    for words, meanings in double.items():
        assert len({meaning.figure or meaning.sum for meaning in meanings}) == 2, words


def test_thirty_seconds_is_one_question() -> None:
    meanings = LANGUAGE.interpret_text("nineteen thirty seconds")
    assert {(meaning.figure.value, meaning.figure.unit) for meaning in meanings if meaning.figure is not None} == {
        (Fraction(1930), "s"),
        (Fraction(19, 32), None),
    }


@pytest.mark.parametrize(
    "talk",
    ["", "please log clearance four thou", "next please", "log clearance", "log four thou thou", "timer", "step", "go"],
)
def test_what_is_not_wholly_a_command_is_none(talk: str) -> None:
    words = plain_words(talk)
    assert LANGUAGE.interpret(words) == ()
    assert not LANGUAGE.automaton.accepts(words)


def test_a_characteristic_is_known_by_each_of_its_names() -> None:
    for said in ("log stop clearance four thou", "log stop gap four thou"):
        (meaning,) = LANGUAGE.interpret_text(said)
        assert meaning.characteristic == "stop clearance"


def test_figures_typed_in_digits_are_read_digit_by_digit() -> None:
    for typed, text in (("Log slide travel 31.2 millimetres!", "31.2"), ("log 0.102", "0.102"), ("log 12", "12")):
        (meaning,) = LANGUAGE.interpret_text(typed)
        assert meaning.figure is not None
        assert meaning.figure.text == text


def test_a_language_without_a_procedure_has_all_but_names() -> None:
    language = Language(Vocabulary())
    assert language.interpret_text("log four thou")
    assert language.interpret_text("next")


@given(st.randoms(use_true_random=False))
def test_the_automaton_accepts_exactly_the_phrases_of_its_nodes(rng: random.Random) -> None:
    letters = "abc"
    grammar = seq(
        maybe("a"),
        Many(either("a", "b", seq("b", "c", to=lambda: "bc")), 1, 3, lambda *values: values),
        maybe(seq("c", maybe("c"), to=lambda: "c")),
        to=lambda *values: values or "none",
    )
    compiled = automaton(grammar)
    words = tuple(rng.choice(letters) for _ in range(rng.randint(0, 7)))
    assert compiled.accepts(words) == bool(grammar.meanings(words))


def test_where_nothing_need_be_said_nothing_is_a_phrase() -> None:
    compiled = automaton(maybe("a"))
    assert compiled.accepts(()) and compiled.accepts(("a",))
    assert not compiled.accepts(("a", "a"))


def test_a_unit_word_in_the_singular_and_in_the_plural_are_one_meaning() -> None:
    language = Language(Vocabulary())
    for unit in ("minute", "degree", "tenth", "mil"):
        one, many = (language.meaning(("log", "thirty", word)) for word in (unit, f"{unit}s"))
        assert one is not None and one == many, unit


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("log .5 thou", "log point five thou"),
        ("log -.5 thou", "log minus point five thou"),
        ("log +2 thou", "log plus two thou"),
        ("log 1,250 rpm", "log one two five nought r p m"),
        ("Redo step twenty-nine.", "redo step twenty nine"),
    ],
)
def test_a_typed_figure_keeps_its_point_and_its_sign(typed: str, words: str) -> None:
    assert plain_words(typed) == tuple(words.split())


@pytest.mark.parametrize("typed", ["log 3/8 inch", "log 4-5 thou", "log 1,5 thou", "log 2½ thou", "log 1.2.3 thou"])
def test_a_typed_figure_that_cannot_be_said_is_none_rather_than_another(typed: str) -> None:
    assert Language(Vocabulary()).interpret_text(typed) == ()
