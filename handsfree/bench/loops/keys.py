"""A foot pedal or a key in place of the voice's own beginning and end.

Two ways, for what a computer can see of a key:

- `TerminalKey`: any key of the terminal in which the program runs (and any pedal that types one). A terminal tells of
  the press only, not of the release. Works on Linux, macOS and Windows, while the terminal is in the foreground.
- `InputDevice`: a pedal or keyboard as a Linux input device (/dev/input/by-id/...). Press and release are seen, and
  no window need be in the foreground; the user must be allowed to read the device (group "input").
"""

from __future__ import annotations

import os
import select
import struct
import sys
import threading
from collections.abc import Callable, Mapping
from pathlib import Path

SEQUENCES: Mapping[str, tuple[str, ...]] = {
    "space": (" ",),
    "enter": ("\r", "\n"),
    "tab": ("\t",),
    "escape": ("\x1b",),
    "backspace": ("\x7f", "\b"),
    "up": ("\x1b[A", "\x1bOA"),
    "down": ("\x1b[B", "\x1bOB"),
    "right": ("\x1b[C", "\x1bOC"),
    "left": ("\x1b[D", "\x1bOD"),
    "home": ("\x1b[H", "\x1bOH", "\x1b[1~"),
    "end": ("\x1b[F", "\x1bOF", "\x1b[4~"),
    "insert": ("\x1b[2~",),
    "delete": ("\x1b[3~",),
    "pageup": ("\x1b[5~",),
    "pagedown": ("\x1b[6~",),
    "f1": ("\x1bOP", "\x1b[11~", "\x1b[[A"),
    "f2": ("\x1bOQ", "\x1b[12~", "\x1b[[B"),
    "f3": ("\x1bOR", "\x1b[13~", "\x1b[[C"),
    "f4": ("\x1bOS", "\x1b[14~", "\x1b[[D"),
    "f5": ("\x1b[15~", "\x1b[[E"),
    "f6": ("\x1b[17~",),
    "f7": ("\x1b[18~",),
    "f8": ("\x1b[19~",),
    "f9": ("\x1b[20~",),
    "f10": ("\x1b[21~",),
    "f11": ("\x1b[23~",),
    "f12": ("\x1b[24~",),
}
"""What terminals send for a key, by its name; any other key is named by the one character that it types."""

EVENT = struct.Struct("llHHi")
"""One event of a Linux input device: seconds, microseconds, type, code, value (linux/input.h)."""

_KEY_EVENT = 1
_RELEASED, _PRESSED = 0, 1


class KeyNameError(Exception):
    """No key has this name, or no such device can be read; one sentence that says what to do."""


def sequences(name: str) -> tuple[str, ...]:
    """What a terminal may send for the key of this name; KeyNameError."""
    known = SEQUENCES.get(name.lower().replace(" ", "").replace("_", "").replace("-", "") or name)
    if known is not None:
        return known
    if len(name) == 1 and name.isprintable():
        return (name,)
    raise KeyNameError(f'There is no key called "{name}"; give one character, or one of: {", ".join(SEQUENCES)}.')


def presses(text: str, wanted: tuple[str, ...]) -> int:
    """How often one of the ``wanted`` sequences stands in what a terminal sent. A lone escape is no longer one when
    more follows it."""
    count = 0
    everything = sorted({*wanted, *(s for known in SEQUENCES.values() for s in known)}, key=len, reverse=True)
    while text:
        pressed = next((sequence for sequence in everything if text.startswith(sequence)), text[0])
        count += pressed in wanted
        text = text[len(pressed) :]
    return count


class TerminalKey:
    """Watches the terminal for one key, in a thread of its own, until closed. Ctrl-C keeps its meaning."""

    def __init__(self, name: str, pressed: Callable[[], None]) -> None:
        """KeyNameError where no key is called ``name`` or standard input is no terminal."""
        self._wanted = sequences(name)
        self._pressed = pressed
        self._closing = threading.Event()
        self._restore: Callable[[], None] = lambda: None
        if not sys.stdin.isatty():
            raise KeyNameError("A key can only be watched in a terminal; start the program in one, or use --pedal.")
        if sys.platform == "win32":
            watch = self._watch_windows
        else:
            self._quiet_terminal()
            watch = self._watch
        threading.Thread(target=watch, name="key", daemon=True).start()

    def close(self) -> None:
        """The terminal is as it was before."""
        self._closing.set()
        self._restore()

    if sys.platform == "win32":

        def _watch_windows(self) -> None:
            import msvcrt  # noqa: PLC0415 - there on this kind of machine only
            import time  # noqa: PLC0415 - there on this kind of machine only

            while not self._closing.is_set():
                if msvcrt.kbhit():
                    if msvcrt.getwch() in self._wanted:
                        self._pressed()
                else:
                    time.sleep(0.02)

    else:

        def _quiet_terminal(self) -> None:
            import termios  # noqa: PLC0415 - there on this kind of machine only
            import tty  # noqa: PLC0415 - there on this kind of machine only

            terminal = sys.stdin.fileno()
            before = termios.tcgetattr(terminal)
            tty.setcbreak(terminal)
            self._restore = lambda: termios.tcsetattr(terminal, termios.TCSADRAIN, before)

        def _watch(self) -> None:
            terminal = sys.stdin.fileno()
            while not self._closing.is_set():
                if select.select([terminal], [], [], 0.2)[0]:
                    sent = os.read(terminal, 64).decode(errors="replace")
                    if not sent:
                        return
                    # A key that is held down repeats itself: one press, however many times it comes at once.
                    if presses(sent, self._wanted):
                        self._pressed()


class InputDevice:
    """Watches a Linux input device in a thread of its own. ``changed`` is told True at a press, False at a release.

    Any key of the device counts: a pedal has but one or a few. ``lost`` gets a sentence when the device goes.
    """

    def __init__(
        self, path: Path, changed: Callable[[bool], None], lost: Callable[[str], None] = lambda sentence: None
    ) -> None:
        """KeyNameError where the device can't be read."""
        try:
            self._file = path.open("rb", buffering=0)
        except OSError as error:
            raise KeyNameError(
                f"{path}: the pedal can't be read ({error.strerror}); look for it in /dev/input/by-id, and add "
                "yourself to the group input."
            ) from error
        self._path = path
        self._changed = changed
        self._lost = lost
        threading.Thread(target=self._watch, name="pedal", daemon=True).start()

    def _watch(self) -> None:
        rest = b""
        while True:
            try:
                read = self._file.read(EVENT.size * 16)
            except (OSError, ValueError):
                read = b""
            if not read:
                self._lost(f"the pedal {self._path} is gone")
                return
            rest += read
            while len(rest) >= EVENT.size:
                _, _, kind, _, value = EVENT.unpack(rest[: EVENT.size])
                rest = rest[EVENT.size :]
                if kind == _KEY_EVENT and value in (_PRESSED, _RELEASED):
                    self._changed(value == _PRESSED)
