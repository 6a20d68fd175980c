"""Lines of YAML as a person would write them: plain words where they can be, quotes where they must."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 .,;/'’()?!-]*")
_MEANS_MORE = re.compile(r"(?i)true|false|yes|no|on|off|null|~|y|n")


def scalar(text: str, in_braces: bool = False) -> str:
    """A text on one line, quoted where YAML would read something else into it."""
    text = " ".join(text.split())
    plain = _PLAIN.fullmatch(text) and not _MEANS_MORE.fullmatch(text) and not text.endswith(" ")
    if plain and not (in_braces and "," in text):
        return text
    return json.dumps(text, ensure_ascii=False)


def braces(values: Mapping[str, str | bool]) -> str:
    """A group of keys on one line."""
    said = [
        f"{key}: {str(value).lower() if isinstance(value, bool) else scalar(value, True)}"
        for key, value in values.items()
    ]
    return "{" + ", ".join(said) + "}"
