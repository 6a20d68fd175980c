"""Where the workshop's own file is, and what it sets."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_config_dir

from handsfree.procedure.file.problems import Problem, ProcedureError
from handsfree.procedure.workshop import Workshop
from handsfree.procedure.workshop import read_workshop as load_file
from handsfree.text.english import English, choose


def default_file() -> Path:
    """Where the workshop's file is looked for when nobody says otherwise."""
    return Path(user_config_dir("handsfree")) / "workshop.yaml"


def load_workshop(path: Path | None = None, english: str | None = None) -> Workshop:
    """The workshop's file (none of its own where there is none), and its English, or ``english``, set from now on."""
    if path is None and not default_file().is_file():
        workshop = Workshop()
    elif path is not None and not path.is_file():
        wrong = "this is a folder" if path.is_dir() else "there is no such file"
        raise ProcedureError(Problem(path, 0, 0, f"{wrong}; name the workshop's file"))
    else:
        workshop = load_file(path or default_file())
    choose(English(english) if english else workshop.english)
    return workshop
