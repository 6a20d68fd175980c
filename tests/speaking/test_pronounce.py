"""Text for the ear."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.measure.units import UNITS
from handsfree.speaking.voice.pronounce import for_the_ear


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ("Fit the M2.5 x 6 screw.", "Fit the M two point five by 6 screw."),
        ("M3×10", "M 3 by 10"),
        ("0.10 mm", "nought point one nought millimetres"),
        ("0.1mm", "nought point one millimetres"),
        ("1 mm", "1 millimetre"),
        ("a gap of .05 mm, no more", "a gap of nought point nought five millimetres, no more"),
        ("5 µm", "5 microns"),
        ("5 \u03bcm", "5 microns"),  # the Greek letter in place of the sign
        ("3 N cm", "3 newton centimetres"),
        ("3 Ncm or 3 N·m", "3 newton centimetres or 3 newton metres"),
        ("at 20 °C.", "at 20 degrees celsius."),
        ("turn it 45° back", "turn it 45 degrees back"),
        ("4.7 k\u2126", "four point seven kilohms"),
        ("1/2 mm", "half a millimetre"),
        ("3/8 N m", "three eighths of a newton metre"),
        ("4 1/2 thou", "four and a half thou"),
        ("4½ thou", "four and a half thou"),
        ("0.10 ± 0.02 mm", "nought point one nought plus or minus nought point nought two millimetres"),
        ("2–3 drops — no more", "2 to 3 drops, no more"),
        ("-3 °C", "minus 3 degrees celsius"),
        ("\u22123 °C", "minus 3 degrees celsius"),
        ("< 0.02 mm", "less than nought point nought two millimetres"),
        ("Ø6 pin, No. 4", "diameter 6 pin, number 4"),
        ("0.004 in", "nought point nought nought four in"),
        ("M2 x 5", "M 2 by 5"),
        ("1200 rpm", "one thousand two hundred r p m"),
        ("at 10:30, not 9:05 or 12:00", "at ten thirty, not nine oh five or twelve o'clock"),
        ("approx. 3 mm", "about 3 millimetres"),
        ("wash & dry", "wash and dry"),
        ("<b>Danger.</b> Hot 🔥!", "Danger. Hot!"),
        ("one\x00two\x1b[31m", "one two 31m"),
        ("\ud800", ""),  # half a surrogate pair can't be encoded for the engine
        ("", ""),
    ],
)
def test_what_is_shown_is_said_in_words(shown: str, said: str) -> None:
    assert for_the_ear(shown) == said


@pytest.mark.parametrize(
    "plain",
    [
        "Slacken the two lock screws, a quarter of a turn each.",
        "Put 4 in place, then 2 A-frames.",
        'Say "next" when it\'s done.',
        "Lay it in tray 3A.",
        "Clearance is four and a half thou. Right?",
        "In the 1960s there were 80s.",
        "The date is 3/4/2024.",
        "Step 9: let the spring down; mind your eyes!",
    ],
)
def test_plain_sentences_are_left_alone(plain: str) -> None:
    assert for_the_ear(plain) == plain


@given(st.sampled_from([unit for unit in UNITS.values() if unit.symbol not in ("", "in")]), st.integers(2, 999))
def test_every_unit_symbol_is_spelled_out_after_a_number(unit: object, number: int) -> None:
    from handsfree.measure.units import Unit

    assert isinstance(unit, Unit)
    assert for_the_ear(f"It is {number} {unit.symbol}.") == f"It is {number} {unit.many}."


_SIGNS = st.lists(
    st.sampled_from(
        ["M", "2.5", " ", "x", "6", "mm", "µm", "1/2", "1", "/", "<", ">", "b", "±", "–", "-", ".", "°", "°C", "N",
         "cm", "No.", "&", "~", "Ø", "A", ",", "=", "\n", "½", "×", "🔧", "s", "e.g.", "(", "'", "+/-"]
    ),
    max_size=12,
).map("".join)  # fmt: skip


@given(st.one_of(st.text(max_size=60), _SIGNS))
@example("M2.5 x 6 at -3 °C, 4 1/2 thou")
def test_saying_it_twice_changes_nothing(text: str) -> None:
    once = for_the_ear(text)
    assert for_the_ear(once) == once


@pytest.mark.parametrize("part", [" ", "1", "1 ", "< ", "<a", "\n ", "1/", "M", "-", "— "])
def test_long_nonsense_is_no_trouble(part: str) -> None:
    # With a rule that looks back over its own matches this would take minutes.
    text = part * (20_000 // len(part)) + "/2 mm"
    assert for_the_ear(text).endswith(("millimetres", "millimetre"))
