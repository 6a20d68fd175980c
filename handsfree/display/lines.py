"""The snapshot as text for a terminal: the same content as the page, in as few lines as it can be told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from handsfree.guide.view.shown import Asked, Scale, Shown, View
from handsfree.text.prose import sentences
from handsfree.text.terminal import printable

_SHORTEST = 2
_SCALE = 41
"""Characters of a scale."""


def fitted(view: View, passed: float, width: int, height: int, *, aside: Sequence[str] = (), colour: bool) -> list[str]:
    """The view as terminal lines, with as much of it as there is room for: first the nearer details take one line
    each, then the scales go (the verdict stands in words), last whatever is at the end."""
    for short in range(_SHORTEST + 1):
        # One more than there is room for shows that it does not fit.
        lines = rendered(screen(view, passed, aside=aside, short=short), width, height + 1, colour=colour)
        if len(lines) <= height:
            break
    return lines[:height]


def screen(view: View, passed: float, *, aside: Sequence[str] = (), short: int = 0) -> RenderableType:
    """The whole view, ``passed`` seconds after it was taken; ``aside`` stands at its right (a QR code).

    ``short`` is from 0, in full, to 2.
    """
    end = [] if short else [Rule(style="dim")]
    body = Group(*_main(view, passed, short), *_near(view, passed, short), *end)
    if not aside:
        return body
    side_by_side = Table.grid(padding=(0, 2), expand=True)
    side_by_side.add_column(ratio=1)
    side_by_side.add_column(no_wrap=True)
    code = Text("\n").join(_text(line, "black on white" if set(line) <= set("█▀▄ ") else "") for line in aside)
    side_by_side.add_row(body, code)
    return side_by_side


def _text(words: str, style: str = "") -> Text:
    """Words as they are: what looks like markup in them stays letters, and nothing steers the terminal."""
    return Text(printable(words), style)


def _main(view: View, passed: float, short: int) -> Iterator[RenderableType]:
    yield Rule(_text(f"{view.heading} · {view.stage} · {view.title}", "bold"), align="left")
    yield _text(view.microphone.upper(), "reverse bold" if view.microphone == "speaking" else "bold")
    state = {
        "standing by": "Standing by. Say “back at the bench”.",
        "noting": "Noting. Say “end of note”.",
        "paused": "Job paused. Nothing is lost.",
        "finished": "Job finished.",
    }.get(view.state, f"Only looking. The job stands at step {view.at}." if view.looking else "")
    if state:
        yield _text(state, "reverse")
    for danger in view.dangers:
        yield _text(f"! Danger. {sentences((danger.say, danger.lasting))}", "bold reverse")
    number = f"{view.number}. " if view.of > 1 else ""
    yield Padding(_text(f"{number}{view.act}", "bold underline"), (0 if short else 1, 0))
    if view.question is not None:
        left = view.question.expires_in
        dropped = "" if left is None else f"  (dropped in {max(0, round(left - passed))} s if nobody answers)"
        place = f"({view.point.number} of {view.point.of}) " if view.point and view.point.number else ""
        yield _text(f"? {place}{view.question.prompt}{dropped}", "bold")
    if view.note is not None:
        yield _text(f"Note: {view.note or '…'}")
    for asked in view.asked:
        yield from _asked(asked, short)
    if view.last is not None and not any(asked.kind == "figure" for asked in view.asked):
        yield from _reading(view.last, f"last reading, step {view.last.step}", short)


def _asked(asked: Asked, short: int) -> Iterator[RenderableType]:
    more = f" ({asked.more})" if asked.more else ""
    yield _text(f"{asked.what}: {asked.wanted}{more}")
    if asked.kind == "figure" and asked.reading is None:
        yield _text("  no reading yet", "dim")
        if asked.scale is not None and short < _SHORTEST:
            yield from (_text(f"  {line}") for line in scale(asked.scale))
    elif asked.reading is not None:
        yield from _reading(asked.reading, "last reading", short)


def _reading(shown: Shown, label: str, short: int) -> Iterator[RenderableType]:
    said = Text.assemble(_text(f"  {label}: {shown.name}, {shown.occasion}, "), _text(shown.figure, "bold"))
    if shown.verdict:
        said.append_text(_text(f"  {shown.verdict}", "bold reverse" if shown.out else "bold"))
    rest = [shown.by, shown.other, "provisional" if shown.provisional else "", shown.outcome]
    said.append_text(_text("".join(f"  {words}" for words in rest if words)))
    yield said
    if shown.scale is not None and short < _SHORTEST:
        yield from (_text(f"  {line}") for line in scale(shown.scale))


def scale(drawn: Scale) -> list[str]:
    """The reading on a line of characters: "[" and "]" are the limits, "-" is within them, V is the reading; below it
    the limits' figures."""
    place = drawn.place

    def column(position: float) -> int:
        return round(position * (_SCALE - 1))

    low = column(place.low) if place.low is not None else 0
    high = column(place.high) if place.high is not None else _SCALE - 1
    line = ["-" if low < i < high else "." for i in range(_SCALE)]
    marks = [" "] * (_SCALE + 12)
    for bound, bracket, figure in ((place.low, "[", drawn.low), (place.high, "]", drawn.high)):
        if bound is not None:
            line[column(bound)] = bracket
            start = max(0, column(bound) - len(figure) // 2)
            marks[start : start + len(figure)] = figure
    if place.at is not None:
        line[column(place.at)] = {"below": "<", "above": ">", "": "V"}[place.off]
    return ["".join(line), "".join(marks).rstrip()]


_KEPT = ("cautions", "timers", "you can say", "heard", "fasteners", "lubricant", "answered")
"""The nearer details in the order in which they are kept where room is short."""


def _near(view: View, passed: float, short: int) -> Iterator[RenderableType]:
    table = Table.grid(padding=(0, 2))
    table.add_column(style="dim", no_wrap=True)
    table.add_column()
    rows: list[tuple[str, Sequence[str]]] = [
        ("cautions", view.cautions),
        ("fasteners", view.fasteners),
        ("lubricant", view.lubricants),
        ("timers", [timer_words(timer.name, timer.left - passed) for timer in view.timers]),
        ("heard", [f"“{view.heard.words}”, taken as: {view.heard.made}"] if view.heard else []),
        ("answered", [view.said] if view.said else []),
        ("you can say", [" · ".join(view.phrases)] if view.phrases else []),
    ]
    if short:
        rows.sort(key=lambda row: _KEPT.index(row[0]))
    for label, texts in rows:
        if not texts:
            continue
        words = _text(" · ".join(texts)) if short else Text("\n").join(map(_text, texts))
        if short:
            words.no_wrap, words.overflow = True, "ellipsis"
        table.add_row(_text(label), words)
    yield Padding(table, (0 if short else 1, 0, 0, 0))


def timer_words(name: str, left: float) -> str:
    """A timer and what it has left, to the second."""
    minutes, seconds = divmod(max(0, round(left)), 60)
    return f"{name}: {minutes}:{seconds:02} left" if left > 0 else f"{name}: time is up"


def rendered(renderable: RenderableType, width: int, height: int, *, colour: bool) -> list[str]:
    """As terminal lines, ``height`` at most, none longer than ``width``."""
    console = Console(
        width=width, force_terminal=True, color_system="standard" if colour else None, legacy_windows=False
    )
    options = console.options.update(width=width, height=None)
    lines = console.render_lines(renderable, options, pad=False)[:height]
    with console.capture() as captured:
        for line in lines:
            for segment in line:
                console.print(segment.text, style=segment.style or "", end="", markup=False, highlight=False)
            console.print()
    return captured.get().split("\n")[: len(lines)]
