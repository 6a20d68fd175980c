"""The words of taking apart: all that can be sampled is understood, and nothing that is unknown is guessed at."""

from __future__ import annotations

import random
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.commands.procedures.phrases import cheat_sheet
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.disassembly.not_caught import NotKnown, not_known, removal_meant
from handsfree.phrases.disassembly.removal import Marking, Removal
from handsfree.phrases.disassembly.words import BUILT_IN, kinds_of
from handsfree.phrases.intents import Changes, Kind
from handsfree.phrases.language import plain_words
from handsfree.procedure.words import KnownWords
from handsfree.text.prose import plural, singular

OWN = KnownWords(parts=("feed dogs",), places=("bed",), measured={"lift of the foot": ("length",)})
LANGUAGE = StrippingLanguage(
    Vocabulary(words=OWN, tools={"mike": "micrometer"}, procedures={"gate latch": "gate-latch"}, people={"jo": "Jo"})
)
HERE = (
    Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.MARKED, Kind.IN_TRAY, Kind.NEW_WORD, Kind.GIVE_NAME, Kind.END_APART,
    Kind.TAKE_APART,
)  # fmt: skip


@given(st.randoms(use_true_random=False))
def test_everything_that_can_be_said_here_has_one_meaning(rng: random.Random) -> None:
    kind = rng.choice(HERE)
    words = LANGUAGE.sample(rng, kind)
    assert LANGUAGE.automaton.accepts(words)
    meanings = LANGUAGE.interpret(words)
    assert [intent.kind for intent in meanings] == [kind], (words, meanings)


@given(st.randoms(use_true_random=False))
def test_what_is_understood_is_never_told_to_be_unknown(rng: random.Random) -> None:
    assert not_known(LANGUAGE, LANGUAGE.sample(rng, rng.choice(HERE))) is None


@given(st.randoms(use_true_random=False), st.text("xyz", min_size=3, max_size=8))
def test_an_unknown_word_at_the_end_is_named_and_writes_nothing(rng: random.Random, unknown: str) -> None:
    words = (*LANGUAGE.sample(rng, Kind.REMOVED), unknown)
    assert LANGUAGE.interpret(words) == ()
    found = not_known(LANGUAGE, words)
    if removal_meant(words):
        assert found is not None
        assert unknown in found.words.split()


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("removed the winder", NotKnown("part", "winder")),
        ("removed two bobbin winders from the top", NotKnown("part", "bobbin winders")),
        ("removed the needle plate of brass", NotKnown("part", "needle plate of brass")),
        ("removed a needle flange plate from the top", NotKnown("part", "needle flange plate")),
        ("removed grommets", NotKnown("part", "grommets")),
        ("took off the grommet", NotKnown("part", "grommet")),
        ("took out two grommets from the base", NotKnown("part", "grommets")),
        ("removed the cover from place thirty one", NotKnown("place", "place thirty one")),
        ("took off a screw from the wall", NotKnown("place", "wall")),
        ("mark made at the wall", NotKnown("place", "wall")),
        ("removed two screws purple from the top", NotKnown("more", "purple")),
        ("reluctance two thou", NotKnown("measure", "reluctance")),
        ("whirly wobble flange lift two thou", NotKnown("measure", "whirly wobble flange lift")),
        ("whirly wobble flange lift height two thou", None),
        # Known, and something is wanting.
        ("removed spring", NotKnown("article", "spring")),
        ("took off cover from the top", NotKnown("article", "cover")),
        ("removed screws", NotKnown("count", "screws")),
        ("removed a shim", NotKnown("thickness", "shim")),
        ("removed two shims", NotKnown("thickness", "shims")),
        # Broken off, or talk.
        ("removed two", None),
        ("give me the two thou", None),
        ("mark my words on the wall", None),
        ("he sat on the wall", None),
        ("we met at the wall two mornings ago", None),
        ("i removed it yesterday", None),
        ("what a day", None),
    ],
)
def test_which_word_was_not_known(said: str, found: NotKnown | None) -> None:
    assert not_known(LANGUAGE, plain_words(said)) == found


@pytest.mark.parametrize(
    ("said", "marking"),
    [
        ("mark made", Marking("mark", None)),
        ("marks made", Marking("mark", None)),
        ("scribed a line", Marking("one line", None)),
        ("mark made at the bottom", Marking("mark", "the bottom")),
        ("mark at place two", Marking("mark", "place two")),
        (
            "one dot across part two and the part three",
            Marking("one dot", "part two and part three", ("part two", "part three")),
        ),
    ],
)
def test_a_mark_is_made_somewhere_or_across_two_parts(said: str, marking: Marking) -> None:
    (intent,) = LANGUAGE.interpret_text(said)
    assert intent.marking == marking


def test_a_thread_is_left_hand_only_where_that_is_said() -> None:
    (plain,), (left,) = map(LANGUAGE.interpret_text, ("removed a screw", "removed a screw left hand thread"))
    assert plain.removal is not None and left.removal is not None
    assert (plain.removal.left_hand, left.removal.left_hand) == (False, True)
    assert Removal("part", "cover") == Removal("part", "cover", 1, left_hand=False)


@pytest.mark.parametrize("number", ["one", "twenty nine", "thirty"])
def test_thirty_parts_and_places_may_have_a_number_in_place_of_a_name(number: str) -> None:
    (part,) = LANGUAGE.interpret_text(f"removed part {number} from place {number}")
    assert part.removal is not None
    assert (part.removal.what, part.removal.place) == (f"part {number}", f"place {number}")


@pytest.mark.parametrize(
    ("one", "many"),
    [("screw", "screws"), ("bush", "bushes"), ("lens", "lenses"), ("assembly", "assemblies"), ("boss", "bosses"),
     ("key", "keys"), ("box", "boxes"), ("bobbin case", "bobbin cases"), ("tie", "ties")],
)  # fmt: skip
def test_one_and_many(one: str, many: str) -> None:
    assert plural(one) == many
    assert singular(many) == one
    assert singular(one) == one


@pytest.mark.parametrize("name", [*BUILT_IN.parts, *BUILT_IN.fasteners])
def test_every_known_name_has_one_singular(name: str) -> None:
    assert singular(name) == singular(plural(name)) == name


def test_a_thing_is_measured_in_what_the_end_of_its_name_says() -> None:
    assert kinds_of("front bearing end play", OWN) == ("length", "angle")
    assert kinds_of("lift of the foot", OWN) == ("length",)
    assert kinds_of("something else", OWN) == ()


def test_the_words_stand_in_the_documents_and_in_the_list_of_phrases() -> None:
    readme = (resources.files("handsfree.phrases") / "README.md").read_text(encoding="utf-8")
    said = " ".join(" ".join(cheat_sheet(LANGUAGE, "title")).split())
    for names in (BUILT_IN.parts, BUILT_IN.fasteners, BUILT_IN.places, BUILT_IN.heads, BUILT_IN.finishes,
                  BUILT_IN.ways, tuple(BUILT_IN.measured)):  # fmt: skip
        listed = ", ".join(names)
        assert listed in " ".join(readme.split())
        assert listed in said
    assert "feed dogs" in said
    assert "gate latch" in said


def test_begin_and_end_are_no_words_that_talk_has_alone() -> None:
    for said in ("begin", "taking apart", "end", "new", "apart", "go on", "part", "place", "finished"):
        assert not [one for one in LANGUAGE.interpret_text(said) if one.kind.changes is not Changes.NOTHING], said
