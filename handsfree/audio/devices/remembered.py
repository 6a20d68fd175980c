"""The devices that the user has chosen, kept in the user's settings folder."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

import platformdirs


@dataclass(frozen=True)
class Chosen:
    """Names of devices, or parts of them; None stands for the system's default."""

    microphone: str | None = None
    loudspeaker: str | None = None


def settings_file() -> Path:
    """Where the choice is kept."""
    return Path(platformdirs.user_config_dir("handsfree", appauthor=False)) / "devices.json"


def recall(path: Path | None = None) -> Chosen:
    """What was chosen; the defaults where nothing was, or where the file can't be read."""
    try:
        kept = json.loads((path or settings_file()).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return Chosen()
    names = kept if isinstance(kept, dict) else {}
    return Chosen(*(name if isinstance(name := names.get(key), str) and name else None for key in asdict(Chosen())))


def remember(chosen: Chosen, path: Path | None = None) -> None:
    """Keep the choice; OSError where the folder can't be written."""
    path = path or settings_file()
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_suffix(".new")
    fresh.write_text(json.dumps(asdict(chosen), ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    fresh.replace(path)
