"""Taking apart as a procedure: a single step, in which everything is said."""

from __future__ import annotations

import json
import re
from pathlib import Path

from handsfree.procedure.file.loader import Loaded, parse_procedure


def slug(text: str) -> str:
    """``text`` as a name for a file or a step: lower case, hyphens; "item" where nothing is left."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "item"


def stripping_procedure(item: str) -> Loaded:
    """The procedure of taking ``item`` apart: a single step, in which everything is said."""
    title = json.dumps(f"Taking apart: {item}", ensure_ascii=False)
    text = (
        f"title: {title}\nitem: {json.dumps(item, ensure_ascii=False)}\nrevision: 1\n"
        "steps:\n  - id: strip\n    do: Take it apart, and say what comes off.\n"
    )
    return parse_procedure(text.encode(), Path(f"strip-{slug(item)}.yaml"))
