"""Which tests stand for which part of the house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Room:
    """Where mistakes are planted, and the tests that are to notice them: files or folders from the root."""

    code: tuple[str, ...]
    tests: tuple[str, ...]

    def modules(self, root: Path) -> dict[str, str]:
        """The texts of the modules by their files."""
        return {str(path.relative_to(root)): path.read_text(encoding="utf-8") for path in self._files(root)}

    def _files(self, root: Path) -> Iterator[Path]:
        for name in self.code:
            path = root / name
            yield from [path] if path.is_file() else sorted(path.rglob("*.py"))


ROOMS = {
    **{
        name: Room((f"handsfree/{name}",), (f"tests/{name}",))
        for name in ("measure", "phrases", "procedure", "job", "wording", "guide", "review")
    },
    # Of hearing only what decides, by the tests that need neither a network nor sound.
    "decision": Room(
        ("handsfree/hearing/rejection.py", "handsfree/hearing/builtin/rescoring.py"),
        ("tests/hearing/test_rejection.py", "tests/hearing/test_rescoring.py"),
    ),
}
