"""The second reader: its features, its spelling, and what it makes of recordings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.files import load_recording
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.setting_up import language_of, load_named
from handsfree.hearing.builtin.beam import PhraseHypothesis, SearchSettings
from handsfree.hearing.builtin.log_mel import log_mel
from handsfree.hearing.builtin.nbest import MeaningHypothesis
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.builtin.rescoring import FirstReading, read_again
from handsfree.hearing.builtin.second_reader import LONGEST_SOUND, SecondReader, find_folder, find_second_reader
from handsfree.hearing.errors import HearingError
from handsfree.hearing.rejection import DEFAULT, Likeness, certainty_of_both, decide, likelihood_of_both, with_noughts
from handsfree.phrases.utterance import Alternative, Hearing, RecognitionResult, SecondOpinion
from tests.support.places import FIXTURES

FIGURES = (
    ("pico-us/fifteen.flac", "fifteen", ("fifty", "sixteen", "five")),
    ("rms/fifty.flac", "fifty", ("fifteen", "fifty three", "sixty")),
    (
        "pico-us/log-stop-clearance-fifteen-thou.flac",
        "log stop clearance fifteen thou",
        ("log stop clearance fifty thou", "log stop clearance sixteen thou", "log stop clearance five thou"),
    ),
)


@pytest.fixture(scope="module")
def reader() -> SecondReader:
    reader = find_second_reader()
    if reader is None:
        pytest.skip("the second reader's package is not installed (handsfree[second-reader])")
    return reader


def test_without_its_package_there_is_no_second_reader() -> None:
    assert find_second_reader("no_such_package_here") is None
    # A package without the model's files is none either.
    assert find_folder("numpy") is None


@pytest.mark.parametrize("hertz", [200, 500, 900])
def test_a_tone_is_loudest_in_the_band_that_holds_it(hertz: int) -> None:
    # Slaney's mel scale (Auditory Toolbox, 1998; from memory): even steps of 200/3 Hz up to 1 kHz, then 27 steps for
    # each factor of 6.4; so 8 kHz is at 45.245 mel, and 80 bands lie 45.245 / 81 mel apart.
    features = log_mel(np.sin(2 * np.pi * hertz * np.arange(SAMPLE_RATE) / SAMPLE_RATE).astype(np.float32), 2.0)
    assert features.shape == (80, 200)
    band = int(features[:, 50].argmax())
    assert abs((band + 1) * 45.245 / 81 - hertz * 3 / 200) < 45.245 / 81
    assert features[:, 50].max() > features[:, 150].max()


def test_words_are_spelled_with_the_network_s_own_tokens(reader: SecondReader) -> None:
    # " hello" and " world" are 23748 and 995, "." is 13 in the byte-pair vocabulary of GPT-2, which this network shares
    # (from memory); "won't" is parted before the apostrophe there.
    assert reader.tokens(("hello", "world")) == [23748, 995, 13]
    assert reader.tokens(("won't",)) == [1839, 470, 13]


@pytest.mark.parametrize(("file", "said", "others"), FIGURES)
def test_what_was_said_fits_the_sound_better_than_what_is_like_it(
    reader: SecondReader, file: str, said: str, others: tuple[str, ...]
) -> None:
    phrases = [tuple(each.split()) for each in (said, *others)]
    first, *rest = reader.listen(load_recording(FIXTURES / file)).log_probabilities(phrases)
    assert first > max(rest)


@pytest.mark.slow
def test_a_second_reading_is_asked_for_only_where_there_is_doubt(reader: SecondReader) -> None:
    procedure = load_named(str(FIXTURES / "procedure.yaml")).procedure
    language = language_of(procedure)
    try:
        recogniser = BuiltinRecogniser(second=reader)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    recogniser.set_grammar(language.automaton)
    plain = recogniser.recognise(load_recording(FIXTURES / "heart/next.flac"), language.meaning)
    assert plain.second is None
    figure = recogniser.recognise(load_recording(FIXTURES / "pico-us/fifteen.flac"), language.meaning)
    assert figure.alternatives[0].words == ("fifteen",)
    assert figure.second is not None and figure.second.place == 0
    hours = np.tile(load_recording(FIXTURES / "pico-us/fifteen.flac"), 20)
    assert len(hours) > LONGEST_SOUND * SAMPLE_RATE
    assert recogniser.recognise(hours, language.meaning).second is None


def test_what_it_writes_of_itself(reader: SecondReader) -> None:
    readings = reader.listen(load_recording(FIXTURES / "rms/fifty.flac")).readings()
    assert len(set(readings)) == len(readings) > 1
    assert readings[0].strip(" .") in ("50", "Fifty")


LIKELY = SecondOpinion(first=1.6, both=1.0, gap=0.5, reading=-0.5, place=0)
EXACT = Likeness(0.0, 0)


def heard(words: str, opinion: SecondOpinion, free: str = "") -> RecognitionResult:
    """``free``: what the first reader would have written, if not the words."""
    return RecognitionResult(
        recogniser="test",
        alternatives=(Alternative(tuple(words.split()), -1.0),),
        free_text=free or words,
        gap=opinion.gap,
        margin=0.0,
        log_odds=-1.0,
        second=opinion,
    )


def test_where_two_readers_agree_it_is_clear_and_where_they_do_not_it_is_asked_back() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    assert decide(heard("fifteen", replace(LIKELY, first=4.0, both=6.0)), language.interpret) is Hearing.CLEAR
    assert decide(heard("fifteen", LIKELY), language.interpret) is Hearing.DOUBTFUL
    assert decide(heard("fifteen", replace(LIKELY, place=None)), language.interpret) is Hearing.DOUBTFUL
    # A command that is no figure does less harm.
    assert decide(heard("next", replace(LIKELY, place=None)), language.interpret) is Hearing.CLEAR
    assert decide(heard("next", replace(LIKELY, place=None, first=-2.0, both=0.1)), language.interpret) is (
        Hearing.DOUBTFUL
    )


def test_what_neither_reader_would_write_is_talk() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    strange = replace(LIKELY, both=3.0, gap=2.4, reading=-5.0, place=None, unlike=0.7)
    free = "If there is"
    assert decide(heard("fifteen", strange, free), language.interpret) is Hearing.NEAR
    assert decide(heard("fifteen", replace(strange, gap=7.0), free), language.interpret) is Hearing.NONE
    # What the second would write is taken, however strange it sounded to the first.
    agreed = replace(strange, gap=3.0, reading=-1.0, place=0, unlike=0.0)
    assert decide(heard("fifteen", agreed, free), language.interpret) in (Hearing.CLEAR, Hearing.DOUBTFUL)


@pytest.mark.parametrize(
    ("said", "noughts"),
    [
        ("log point oh four", True),
        ("nought point zero zero two inches", True),
        ("one point five oh volts", True),
        ("log point four five", False),
        ("oh four", False),
        ("one point five volts", False),
        ("twenty", False),
    ],
)
def test_noughts_beside_the_point_need_more_certainty_than_other_figures(said: str, noughts: bool) -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    assert with_noughts(tuple(said.split())) is noughts
    barely = replace(LIKELY, first=0.0, both=0.0)
    while certainty_of_both(barely) < DEFAULT.figure_certainty_of_both:
        barely = replace(barely, both=barely.both + 0.1)
    wanted = Hearing.DOUBTFUL if noughts else Hearing.CLEAR
    assert decide(heard(said, barely), language.interpret) is wanted


def test_a_figure_within_the_limits_is_trusted_sooner_and_one_outside_later() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    barely = replace(LIKELY, first=-1.5, both=0.0)
    while certainty_of_both(barely) < DEFAULT.figure_certainty_of_both - DEFAULT.fitting:
        barely = replace(barely, both=barely.both + 0.1)
    sure = replace(barely, both=barely.both + 1.1 * DEFAULT.fitting / 0.41)
    said = "log fifteen"

    def hearing(opinion: SecondOpinion, fits: bool | None) -> Hearing:
        return decide(heard(said, opinion), language.interpret, fits=lambda intent: fits)

    assert [hearing(barely, fits) for fits in (True, None)] == [Hearing.CLEAR, Hearing.DOUBTFUL]
    assert [hearing(sure, fits) for fits in (None, False)] == [Hearing.CLEAR, Hearing.DOUBTFUL]


def test_a_word_over_and_over_is_noise_unless_both_readers_hear_it() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    sure = replace(LIKELY, first=4.0, both=6.0, gap=0.0)
    for said in ("oh oh oh oh oh oh", "eight eight eight eight"):
        assert decide(heard(said, sure), language.interpret) is Hearing.CLEAR
        assert decide(heard(said, replace(sure, place=None)), language.interpret) is Hearing.NONE
        alone = RecognitionResult("test", (Alternative(tuple(said.split()), -1.0),), said, 0.5, 3.0, 5.0)
        assert decide(alone, language.interpret) is Hearing.NONE
    alone = RecognitionResult("test", (Alternative(("one", "one", "one"), -1.0),), "one one one", 0.0, 6.0, 10.0)
    assert decide(alone, language.interpret) is Hearing.CLEAR


@pytest.mark.parametrize("number", ["first", "both", "reading"])
@given(data=st.data())
def test_better_numbers_never_make_it_less_certain(number: str, data: st.DataObject) -> None:
    numbers = st.floats(-10, 10)
    opinion = SecondOpinion(*(data.draw(numbers) for _ in range(4)), place=data.draw(st.none() | st.integers(0, 3)))
    better = replace(opinion, **{number: getattr(opinion, number) + data.draw(st.floats(0, 5))})
    assert certainty_of_both(better) >= certainty_of_both(opinion)
    assert likelihood_of_both(better, EXACT) >= likelihood_of_both(opinion, EXACT)
    assert certainty_of_both(replace(opinion, place=0)) >= certainty_of_both(opinion)
    likely = likelihood_of_both(opinion, EXACT)
    assert likelihood_of_both(replace(opinion, gap=opinion.gap + 1), EXACT) <= likely
    assert likelihood_of_both(replace(opinion, unlike=0.5), EXACT) < likely
    assert likelihood_of_both(opinion, Likeness(0.5, 2)) < likely


def test_only_what_the_second_reader_read_first_counts_as_agreed() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    alone = certainty_of_both(replace(LIKELY, place=None))
    assert certainty_of_both(replace(LIKELY, place=0)) > alone
    sure = replace(LIKELY, first=4.0, both=6.0, gap=0.0)
    for place in (1, 2, 3):
        assert certainty_of_both(replace(LIKELY, place=place)) == alone
        assert decide(heard("fifteen", replace(LIKELY, place=place)), language.interpret) is Hearing.DOUBTFUL
        assert decide(heard("eight eight eight eight", replace(sure, place=place)), language.interpret) is Hearing.NONE


class Reads:
    """A second reader that reads these texts, likeliest first, and finds every phrase equally likely."""

    def __init__(self, *texts: str) -> None:
        self.texts = list(texts)
        self.weighed: list[tuple[str, ...]] = []

    def readings(self) -> list[str]:
        return self.texts

    def log_probabilities(self, phrases: list[tuple[str, ...]]) -> list[float]:
        self.weighed = list(phrases)
        return [-1.0] * len(phrases)


def ranked_with(reader: Reads) -> tuple[list[MeaningHypothesis], SecondOpinion]:
    """What both readers make of a sound for which the first has "nine", then four others, each a little less likely."""
    words = ("nine", "five", "four", "one", "two")
    phrases = [PhraseHypothesis((word,), -1.0 - place, -1.0 - place, 1) for place, word in enumerate(words)]
    first = [MeaningHypothesis(each.words, each, each.log_probability, each.total) for each in phrases]
    return read_again(
        FirstReading(first, "nine", -1.0, SearchSettings()),
        reader,  # type: ignore[arg-type]
        lambda words: words,  # type: ignore[arg-type,return-value]
        lambda text: [tuple(text.split())],
        lambda new: [],
    )


def test_where_both_readers_put_the_same_first_fewer_others_are_weighed() -> None:
    agreeing, doubting = Reads("nine", "five"), Reads("five", "nine")
    ranked, opinion = ranked_with(agreeing)
    assert (ranked[0].meaning, opinion.place) == (("nine",), 0)
    assert [words for (words,) in agreeing.weighed] == ["nine", "five", "four"]
    # In the second place it is no agreement: more is weighed, and it is told where it was read.
    ranked, opinion = ranked_with(doubting)
    assert (ranked[0].meaning, opinion.place) == (("nine",), 1)
    assert [words for (words,) in doubting.weighed] == ["nine", "five", "four", "one"]


def test_what_the_second_reader_alone_proposes_is_weighed_however_far_down_the_first_has_it() -> None:
    reader = Reads("two")
    ranked_with(reader)
    assert [words for (words,) in reader.weighed] == ["nine", "five", "four", "one", "two"]
