"""Speaking style through the real recogniser: recordings joined as people join their words."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.audio import files
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.ears import OpenHearing, open_hearing
from handsfree.bench.setting_up import language_of, load_named
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening.endpoints import segments
from handsfree.phrases.intents import Kind
from handsfree.phrases.utterance import Hearing, Utterance
from tests.support.places import FIXTURES

TALK = ("talk/is-there-any-more-tea-in-the-pot", "talk/that-will-be-twelve-pounds-fifty-altogether")
LOG, NEXT = "heart/log-clearance-four-thou", "heart/next"


@pytest.fixture(scope="module")
def hearing() -> OpenHearing:
    try:
        find_model_files()
    except HearingError as error:
        pytest.skip(f"needs the built-in recogniser's model: {error}")
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    return open_hearing("builtin", None, language)


def sound(name: str, share: float = 1.0) -> np.ndarray:
    """A recording without the quiet around it; of its beginning only a ``share``."""
    samples = files.load_recording(FIXTURES / f"{name}.flac")
    loud = np.flatnonzero(np.abs(samples) > 0.01)
    kept = samples[max(0, loud[0] - 400) : loud[-1] + 400]
    return kept[: int(len(kept) * share)]


def hear(hearing: OpenHearing, *parts: np.ndarray, pause: float = 0.15) -> Utterance:
    quiet = np.zeros(round(pause * SAMPLE_RATE), np.float32)
    joined = [np.zeros(SAMPLE_RATE // 2, np.float32)]
    for part in parts:
        joined += [part, quiet]
    joined.append(np.zeros(SAMPLE_RATE, np.float32))
    everything = np.concatenate(joined)
    noise = np.random.default_rng(1).normal(0, 1e-4, len(everything)).astype(np.float32)
    [segment] = segments(everything + noise)
    return hearing.ear.hear(segment)


def test_two_commands_in_one_breath_are_both_heard(hearing: OpenHearing) -> None:
    heard = hear(hearing, sound(LOG), sound(NEXT))
    assert (heard.hearing, heard.intents[0].kind, heard.then[0].kind) == (Hearing.CLEAR, Kind.LOG, Kind.NEXT)
    assert heard.intents[0].figure is not None and heard.intents[0].figure.text == "4"
    turned = hear(hearing, sound(NEXT), sound(LOG))
    assert (turned.hearing, turned.intents[0].kind, turned.then[0].kind) == (Hearing.CLEAR, Kind.NEXT, Kind.LOG)


@pytest.mark.parametrize("talk", [TALK[0], pytest.param(TALK[1], marks=pytest.mark.slow)])
def test_talk_before_or_after_a_command_makes_it_none(hearing: OpenHearing, talk: str) -> None:
    for heard in (hear(hearing, sound(talk), sound(LOG)), hear(hearing, sound(LOG), sound(talk))):
        assert heard.hearing in (Hearing.NONE, Hearing.NEAR)
        assert heard.intents == () and heard.then == ()


def test_a_command_within_a_long_talk_makes_no_sound_at_all(hearing: OpenHearing) -> None:
    heard = hear(hearing, *map(sound, TALK), sound(NEXT))
    assert (heard.hearing, heard.words, heard.intents) == (Hearing.NONE, (), ())


@pytest.mark.parametrize("share", [0.35, pytest.param(0.45, marks=pytest.mark.slow), 0.6])
def test_a_start_broken_off_never_brings_a_wrong_figure(hearing: OpenHearing, share: float) -> None:
    heard = hear(hearing, sound(LOG, share), sound(LOG), pause=0.2)
    if heard.hearing is Hearing.CLEAR:
        assert [intent.kind for intent in heard.intents] == [Kind.LOG] and heard.then == ()
        assert heard.intents[0].figure is not None and heard.intents[0].figure.text == "4"


def test_a_cough_before_a_command_is_no_part_of_it(hearing: OpenHearing) -> None:
    heard = hear(hearing, sound("noise/cough") * np.float32(0.3), sound(LOG))
    assert heard.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
    assert [intent.kind for intent in heard.intents] == [Kind.LOG]


def test_a_plain_command_is_heard_as_ever(hearing: OpenHearing) -> None:
    heard = hear(hearing, sound(LOG))
    assert (heard.hearing, heard.text, heard.then) == (Hearing.CLEAR, "log clearance four thou", ())


def test_an_ear_hears_by_the_words_of_the_procedure_that_was_changed_to(hearing: OpenHearing) -> None:
    first = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    other = language_of(load_named("hook-timing").procedure)
    try:
        hearing.ear.learn(other)
        heard = hear(hearing, sound(LOG))
        assert [intent.characteristic for intent in heard.intents if intent.kind is Kind.LOG] in ([], [None])
        assert hear(hearing, sound(NEXT)).intents[0].kind is Kind.NEXT
    finally:
        hearing.ear.learn(first)
    heard = hear(hearing, sound(LOG))
    assert (heard.hearing, heard.intents[0].kind) == (Hearing.CLEAR, Kind.LOG)
    assert heard.intents[0].characteristic is not None
