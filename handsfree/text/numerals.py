"""Numbers in words: the figures, the cardinals, and figures one by one."""

from __future__ import annotations

from handsfree.text.english import hundred_joint, nought

_ONES = (
    *("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)


_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def whole_words(number: int) -> str:
    """A whole number below a million in words; a larger one digit by digit."""
    if number == 0:
        return nought()
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens - 2] + (f" {_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_ONES[hundreds]} hundred" + (hundred_joint() + whole_words(rest) if rest else "")
    if number >= 1_000_000:
        return digit_words(str(number))
    thousands, rest = divmod(number, 1000)
    joint = hundred_joint() if 0 < rest < 100 else " "
    return f"{whole_words(thousands)} thousand" + (f"{joint}{whole_words(rest)}" if rest else "")


_SIGNS = {".": "point", "-": "minus", "/": "over"}


def digit_words(text: str) -> str:
    """Figures one by one: "0.05" is "nought point nought five"."""
    return " ".join(_SIGNS.get(sign) or (_ONES[int(sign)] if sign != "0" else nought()) for sign in text)


def a(word: str) -> str:
    """The word with its article."""
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
