"""The built-in recogniser on real sound: a voice made in the test, and people reading aloud."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from handsfree.audio.files import resampled
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.ear import Ear
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening.endpoints import Segment, segments
from handsfree.hearing.rejection import decide
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.utterance import Hearing
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.synthesis import Synthesiser
from tests.support import hearing_sounds as sounds

LANGUAGE = Language(Vocabulary(characteristics={"backlash": "backlash", "end play": "end play"}))


@pytest.fixture(scope="module")
def recogniser() -> BuiltinRecogniser:
    try:
        recogniser = BuiltinRecogniser()
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    recogniser.set_grammar(LANGUAGE.automaton)
    return recogniser


@pytest.fixture(scope="module")
def ear(recogniser: BuiltinRecogniser) -> Ear:
    return Ear(recogniser, LANGUAGE.interpret)


@pytest.fixture(scope="module")
def voice() -> Synthesiser:
    try:
        return Synthesiser(voice="espeak")
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")


def said(voice: Synthesiser, text: str) -> Segment:
    """``text`` spoken in a quiet room, cut out of it."""
    sound = resampled(voice.render(text), SAMPLE_RATE)
    (segment,) = segments(sounds.in_room(sound, np.random.default_rng(1)))
    return segment


def meaning(words: tuple[str, ...]) -> object | None:
    return LANGUAGE.interpret(words) or None


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("next step", Kind.NEXT),
        ("say that again", Kind.REPEAT),
        ("which phrases", Kind.HELP),
        ("stand by", Kind.STAND_BY),
        ("make a note", Kind.NOTE),
    ],
)
def test_plain_commands_are_heard_clearly(ear: Ear, voice: Synthesiser, text: str, kind: Kind) -> None:
    utterance = ear.hear(said(voice, text))
    assert utterance.hearing is Hearing.CLEAR
    assert [intent.kind for intent in utterance.intents] == [kind]


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [("twenty nine microns", "29", "µm"), ("three point five millimetres", "3.5", "mm")],
)
def test_a_figure_is_the_likeliest_reading(ear: Ear, voice: Synthesiser, text: str, value: str, unit: str) -> None:
    utterance = ear.hear(said(voice, text))
    assert utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
    figure = utterance.intents[0].figure
    assert figure is not None
    assert figure.text == value
    assert figure.unit == LANGUAGE.interpret_text(f"one {text.rsplit(maxsplit=1)[-1]}")[0].figure.unit  # type: ignore[union-attr]


def test_the_alternatives_are_phrases_of_the_grammar_best_first(
    recogniser: BuiltinRecogniser, voice: Synthesiser
) -> None:
    heard = recogniser.recognise(said(voice, "fifty five").samples, meaning)
    assert len(heard.alternatives) > 1
    assert all(LANGUAGE.automaton.accepts(each.words) for each in heard.alternatives)
    assert len({each.words for each in heard.alternatives}) == len(heard.alternatives)
    scores = [each.score for each in heard.alternatives]
    assert scores == sorted(scores, reverse=True)
    assert heard.margin is not None
    assert heard.margin >= 0


def test_the_same_sound_gives_the_same_answer(recogniser: BuiltinRecogniser, voice: Synthesiser) -> None:
    segment = said(voice, "log backlash four thou")
    assert recogniser.recognise(segment.samples, meaning) == recogniser.recognise(segment.samples, meaning)


def test_a_phrase_of_no_use_is_not_among_the_alternatives(recogniser: BuiltinRecogniser, voice: Synthesiser) -> None:
    heard = recogniser.recognise(said(voice, "next step").samples, lambda words: None)
    assert heard.alternatives == ()
    assert heard.gap is None
    assert heard.free_text


def test_a_note_is_written_freely_and_its_end_is_noticed(ear: Ear, voice: Synthesiser) -> None:
    words = "the spring is bent at one end"
    note = ear.hear(said(voice, words), "dictation")
    assert (note.hearing, note.intents) == (Hearing.NONE, ())
    # The voice is not the same twice: a word may be misheard.
    assert len(set(words.split()) & set(plain_words(note.free_text))) >= 5
    end = ear.hear(said(voice, "end of note"), "dictation")
    assert [intent.kind for intent in end.intents] == [Kind.END_NOTE]


def reading() -> Iterator[Segment]:
    for sound in sounds.reading("beckett.wav", "two_cities.wav"):
        yield from segments(sound[: 20 * SAMPLE_RATE])


def test_people_reading_aloud_give_no_command(ear: Ear) -> None:
    found = list(reading())
    if not found:
        pytest.skip("the recordings of the package moonshine-voice are not installed")
    heard = [ear.hear(segment) for segment in found]
    assert [utterance.words for utterance in heard if utterance.intents] == []


@pytest.mark.parametrize("samples", [0, 1, 200, 4000])
def test_hardly_any_sound_is_no_command_and_no_error(ear: Ear, samples: int) -> None:
    utterance = ear.hear(Segment(np.zeros(samples, np.float32), 0.0, samples / SAMPLE_RATE))
    assert utterance.hearing in (Hearing.NONE, Hearing.NEAR)
    assert utterance.intents == ()


@pytest.mark.parametrize("seconds", [9.3, 13, 40])
def test_long_sound_is_taken(recogniser: BuiltinRecogniser, seconds: float) -> None:
    noise = np.random.default_rng(3).standard_normal(round(seconds * SAMPLE_RATE)).astype(np.float32) * 0.05
    heard = recogniser.recognise(noise, meaning)
    assert decide(heard, LANGUAGE.interpret) is not Hearing.CLEAR


def test_every_english_word_can_be_heard_and_others_are_named(recogniser: BuiltinRecogniser) -> None:
    assert recogniser.missing_words(LANGUAGE.automaton.words) == []
    assert recogniser.missing_words(["gauge", "ꙮꙮ", ""]) == ["", "ꙮꙮ"]
