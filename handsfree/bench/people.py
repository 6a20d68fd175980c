"""Who may be at the bench, and how each is named there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from handsfree.phrases.language import plain_words

MOST = 24
"""More names would make every one of them harder to hear."""


def spoken_people(names: Iterable[str]) -> dict[str, str]:
    """Each way of saying a name with the name as it is written: in full, or by one of its words that is nobody else's.

    What can't be said ("J.-P.") is left out: it can be spelled.
    """
    known = list(dict.fromkeys(name.strip() for name in names if name.strip()))[:MOST]
    in_words = {name: plain_words(name) for name in known}
    shared = Counter(word for words in in_words.values() for word in set(words))
    said: dict[str, str] = {}
    for name, words in in_words.items():
        if words:
            said.setdefault(" ".join(words), name)
    for name, words in in_words.items():
        for word in words:
            if len(word) > 1 and shared[word] == 1:
                said.setdefault(word, name)
    return said
