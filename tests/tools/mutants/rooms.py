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
    without: tuple[str, ...] = ()
    """Parts of the names of tests that are left out: they take minutes, and quicker ones go over the same ground."""
    derived: tuple[str, ...] = ()
    """Functions, classes and constants whose numbers were derived from data: no mistake is planted in those, for only
    the data can tell which are right. What the numbers do is tested all the same."""

    def modules(self, root: Path) -> dict[str, str]:
        """The texts of the modules by their files."""
        return {str(path.relative_to(root)): path.read_text(encoding="utf-8") for path in self._files(root)}

    def _files(self, root: Path) -> Iterator[Path]:
        for name in self.code:
            path = root / name
            yield from [path] if path.is_file() else sorted(path.rglob("*.py"))


_SLOW = {
    "phrases": ("whole_numbers_to_9999", "phrase_of_two_words", "longer_phrases", "style_of_num2words"),
    "procedure": ("deep_nesting", "bomb_of_aliases"),
    "job": ("kill_in_the_middle", "full_disk", "read_only_disk"),
}
ROOMS = {
    **{
        name: Room((f"handsfree/{name}",), (f"tests/{name}",), _SLOW.get(name, ()))
        for name in ("measure", "phrases", "procedure", "job", "wording", "guide", "review")
    },
    # Of hearing only what decides, by the tests that need neither a network nor sound.
    "decision": Room(
        tuple(
            f"handsfree/hearing/{name}.py"
            for name in ("rejection", "ear", "disfluency", "ensemble", "pauses", "builtin/nbest")
        ),
        tuple(
            f"tests/hearing/test_{name}.py"
            for name in ("rejection", "likeness", "ear", "second_look", "ensemble", "pauses", "nbest")
        ),
        # ``tests.tools.calibrate_hearing`` derives them.
        derived=("Thresholds", "command_likelihood", "certainty", "MOST_MORE"),
    ),
}
