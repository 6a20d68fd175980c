"""Where things are in the repository."""

from __future__ import annotations

from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
FIXTURES = REPOSITORY / "audio_fixtures"
DATA = REPOSITORY / "tests" / "data"
