"""The snapshot as text for a terminal: the same content as the page, in as few lines as it can be told."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from rich.cells import cell_len
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.segment import Segment, Segments
from rich.table import Table
from rich.text import Text

from handsfree.guide.view.shown import Asked, Scale, Shown, TimerShown, View
from handsfree.text.prose import sentences
from handsfree.text.terminal import printable

Told = Callable[[int], Sequence[str]]
"""One thing that happened, as lines of a width, which may be in colour."""

WIDE = 100
"""Columns from which on what happened stands beside the step."""
_SHORTEST = 2
_SCALE = 57
"""Characters of a scale, at the most."""
_LEAST_SCALE = 12
"""With less room it is left out: the verdict stands in words."""
_LEAST_BODY = 36
"""Columns that the view keeps; what stands at the right is left out before."""
_LEAST_LOG = 4
"""Lines of what happened that tell what was heard last and answered."""
_STYLE = re.compile(r"\x1b\[[0-9;]*m")


def panes(
    view: View,
    passed: float,
    width: int,
    height: int,
    *,
    told: Sequence[Told] = (),
    aside: Sequence[str] = (),
    colour: bool,
) -> list[str]:
    """The whole screen, at most ``height`` lines of ``width``: the view, and what happened (``told``, oldest first)
    beside it, or below it where that is too narrow. ``aside`` stands at the right (a QR code)."""
    if width >= WIDE and told:
        right = min(width * 9 // 20, width - max(map(len, aside), default=0) - 60) if aside else width * 9 // 20
        left = width - right - 3
        lines = fitted(view, passed, left, height, aside=aside, colour=colour, heard=False)
        log = _newest(told, right, height)
        bar = "\x1b[2m│\x1b[0m" if colour else "│"
        lines += [""] * (height - len(lines))
        log += [""] * (height - len(log))
        return [f"{padded(line, left)} {bar} {beside}".rstrip() for line, beside in zip(lines, log, strict=True)]
    # Below a rule, so many lines of it that nothing of it need be said twice; else as many as are left.
    above = height - _LEAST_LOG - 1
    whole = _whole(view, passed, width, above, aside=aside, colour=colour, shortest=1) if told else None
    if whole is not None:
        lines = [*whole, "\x1b[2m" + "─" * width + "\x1b[0m" if colour else "─" * width]
    else:
        lines = fitted(view, passed, width, height, aside=aside, colour=colour)
    return lines + _newest(told, width, height - len(lines))


def _newest(told: Sequence[Told], width: int, most: int) -> list[str]:
    """The last lines of what happened."""
    lines: list[str] = []
    for each in reversed(told):
        if len(lines) >= most:
            break
        lines[:0] = each(width)
    return lines[max(len(lines) - most, 0) :]


def padded(line: str, width: int) -> str:
    """``line``, which may be in colour, with spaces up to ``width`` columns."""
    return line + " " * (width - cell_len(_STYLE.sub("", line)))


def fitted(
    view: View,
    passed: float,
    width: int,
    height: int,
    *,
    aside: Sequence[str] = (),
    colour: bool,
    heard: bool = True,
) -> list[str]:
    """The view as terminal lines, with as much of it as there is room for: first the nearer details take one line
    each, then the scales go (the verdict stands in words), last whatever is at the end. Without ``heard`` what was
    heard and answered last is left out: it stands in what happened."""
    lines = _whole(view, passed, width, height, aside=aside, colour=colour, heard=heard)
    if lines is None:
        shown = screen(view, passed, width, aside=aside, short=_SHORTEST, heard=heard)
        lines = rendered(shown, width, height, colour=colour)
    return lines


def _whole(  # noqa: PLR0913 - as above
    view: View,
    passed: float,
    width: int,
    height: int,
    *,
    aside: Sequence[str],
    colour: bool,
    heard: bool = False,
    shortest: int = _SHORTEST,
) -> list[str] | None:
    """The view with nothing of it left out, as short as need be; None where there is no room."""
    for short in range(shortest + 1):
        # One more than there is room for shows that it does not fit.
        shown = screen(view, passed, width, aside=aside, short=short, heard=heard)
        lines = rendered(shown, width, height + 1, colour=colour)
        if len(lines) <= height:
            return lines
    return None


def screen(
    view: View, passed: float, width: int, *, aside: Sequence[str] = (), short: int = 0, heard: bool = True
) -> RenderableType:
    """The whole view, ``passed`` seconds after it was taken; ``aside`` (a QR code) at its right, if there is room.

    ``short`` is from 0, in full, to 2.
    """
    if width - max(map(len, aside), default=0) < _LEAST_BODY:
        aside = ()
    room = width - max(map(len, aside), default=-2) - 2
    body = Group(*_main(view, passed, room, short), *_near(view, passed, short, heard=heard))
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


def _hanging(mark: str, words: Text, style: str = "") -> RenderableType:
    """Words after a mark; what wraps stands under the first of them."""
    row = Table.grid(padding=0)
    row.add_column(no_wrap=True, width=len(mark))
    row.add_column(ratio=1)
    row.add_row(_text(mark, style), words)
    return row


def _heading(view: View, width: int, short: int) -> Iterator[Text]:
    """Where the job stands, then as much of its title as there is room for, and a rule; the microphone below it, or at
    its end where lines are few."""
    microphone = _text(view.microphone.upper(), "reverse bold" if view.microphone == "speaking" else "bold")
    place = len(view.heading) + len(view.stage) + 4
    beside = short == _SHORTEST and width - microphone.cell_len - 2 >= place
    head = _place(view, width - microphone.cell_len - 1 if beside else width)
    yield Text.assemble(head, " ", microphone) if beside else head
    if not beside:
        yield microphone


def _place(view: View, width: int) -> Text:
    head = Text.assemble(_text(view.heading, "bold"), _text(f" · {view.stage}"), no_wrap=True, overflow="ellipsis")
    title = _text(f" · {view.title}", "bold")
    if head.cell_len + title.cell_len < width:
        head.append_text(title)
    head.append_text(_text(f" {'─' * (width - head.cell_len - 1)}" if head.cell_len < width else "", "dim"))
    return head


def _main(view: View, passed: float, width: int, short: int) -> Iterator[RenderableType]:
    yield from _heading(view, width, short)
    state = {
        "standing by": "Standing by. Say “back at the bench”.",
        "noting": "Noting. Say “end of note”.",
        "paused": "Job paused. Nothing is lost.",
        "finished": "Job finished.",
    }.get(view.state, f"Only looking. The job stands at step {view.at}." if view.looking else "")
    if state:
        yield _text(state, "reverse")
    for danger in view.dangers:
        said = f"Danger. {sentences((danger.say, danger.lasting))}"
        yield _hanging("! ", _text(said, "bold reverse"), "bold reverse")
    if view.left_hand:
        yield _hanging("< ", _text(view.left_hand, "bold"), "bold")
    yield Padding(_text(view.act, "bold underline"), (0 if short else 1, 0))
    if view.question is not None:
        left = view.question.expires_in
        dropped = "" if left is None else f"  (dropped in {max(0, round(left - passed))} s if nobody answers)"
        place = f"({view.point.number} of {view.point.of}) " if view.point and view.point.number else ""
        yield _hanging("? ", _text(f"{place}{view.question.prompt}{dropped}", "bold"), "bold")
    if view.note is not None:
        yield _hanging("Note: ", _text(view.note or "…"))
    for asked in view.asked:
        yield from _asked(asked, width, short)
    if view.last is not None and not any(asked.kind == "figure" for asked in view.asked):
        yield _before(view.last)


def _before(last: Shown) -> RenderableType:
    """A reading of another step is one line: nothing is decided by it here."""
    where = f"Before, at step {last.step}" if last.step else "Before"
    told = (f"{last.name}, {last.occasion}, {last.figure}", last.verdict, last.by, last.outcome)
    return _hanging("  ", _text(f"{where}: {', '.join(filter(None, told))}", "dim"))


def _asked(asked: Asked, width: int, short: int) -> Iterator[RenderableType]:
    more = f" ({asked.more})" if asked.more else ""
    between = "  " if asked.what.endswith("?") else ": "
    yield _hanging("  ", Text.assemble(_text(asked.what + between), _text(asked.wanted, "bold"), _text(more)))
    if asked.reading is not None:
        yield from _reading(asked.reading, width, short)
    elif asked.kind == "figure":
        yield _text("    no reading yet", "dim")
        yield from _scale(asked.scale, width, short)


def _reading(shown: Shown, width: int, short: int) -> Iterator[RenderableType]:
    said = Text.assemble(_text(shown.figure, "bold"))
    if shown.verdict:
        said.append("  ")
        said.append_text(_text(shown.verdict, "bold reverse" if shown.out else "bold"))
    rest = [shown.by, shown.other, "provisional" if shown.provisional else "", shown.outcome]
    said.append_text(_text("".join(f"  {words}" for words in rest if words)))
    yield _hanging("  = ", said)
    yield from _scale(shown.scale, width, short)


def _scale(drawn: Scale | None, width: int, short: int) -> Iterator[RenderableType]:
    if drawn is not None and short < _SHORTEST and width - 5 >= _LEAST_SCALE:
        yield from (_text(f"    {line}") for line in scale(drawn, min(_SCALE, width - 5)))


def scale(drawn: Scale, width: int) -> list[str]:
    """The reading on a line of ``width`` characters: ├ and ┤ are the limits, ┼ is the target, ▼ the reading with its
    uncertainty (═) to both sides; below it the figures of limits and target."""
    place = drawn.place

    def column(position: float) -> int:
        return round(min(max(position, 0.0), 1.0) * (width - 1))

    low = column(place.low) if place.low is not None else 0
    high = column(place.high) if place.high is not None else width - 1
    line = ["─" if low < i < high else "·" for i in range(width)]
    if place.at is not None and not place.off:
        for i in range(column(place.at - place.uncertainty), column(place.at + place.uncertainty) + 1):
            line[i] = "═"
    figures = [" "] * width
    # The limits come first: where two figures would touch, the target's is left out, which stands in words above.
    marked = ((place.low, "├", drawn.low), (place.high, "┤", drawn.high), (place.target, "┼", drawn.target))
    for bound, sign, figure in marked:
        if bound is None:
            continue
        line[column(bound)] = sign
        start = min(max(0, column(bound) - len(figure) // 2), width - len(figure))
        if figure and not "".join(figures[max(start - 1, 0) : start + len(figure) + 1]).strip():
            figures[start : start + len(figure)] = figure
    if place.at is not None:
        line[column(place.at)] = {"below": "◀", "above": "▶", "": "▼"}[place.off]
    return ["".join(line), "".join(figures).rstrip()]


_KEPT = ("cautions", "timers", "heard", "fasteners", "you can say", "other items", "lubricant", "answered")
"""The nearer details in the order in which they are kept where room is short: what keeps the job from harm, what was
made of the last words, what the hands want now. What can be said is told by "help" as well, other items' timers ring,
and what was answered was spoken."""


def _near(view: View, passed: float, short: int, *, heard: bool) -> Iterator[RenderableType]:
    table = Table.grid(padding=(0, 2))
    table.add_column(style="dim", no_wrap=True)
    table.add_column()
    others = [
        "; ".join([f"{other.item}, {other.where}", *(timer_words(each, passed) for each in other.timers)])
        for other in view.others
    ]
    rows: list[tuple[str, Sequence[str]]] = [
        ("cautions", [caution for caution in view.cautions if caution != view.left_hand]),
        ("fasteners", view.fasteners),
        ("lubricant", view.lubricants),
        ("timers", [timer_words(timer, passed) for timer in view.timers]),
        ("other items", others),
        ("heard", [f"“{view.heard.words}”, taken as: {view.heard.made}"] if view.heard and heard else []),
        ("answered", [view.said] if view.said and heard else []),
        ("you can say", [" · ".join(view.phrases)] if view.phrases else []),
    ]
    if short:
        rows.sort(key=lambda row: _KEPT.index(row[0]))
    for label, texts in rows:
        if not texts:
            continue
        words = _text(" · ".join(texts)) if short else Text("\n").join(map(_text, texts))
        # A caution is never cut.
        if short and label != "cautions":
            words.no_wrap, words.overflow = True, "ellipsis"
        table.add_row(_text(label), words)
    yield Padding(table, (0 if short else 1, 0, 0, 0))


def timer_words(timer: TimerShown, passed: float) -> str:
    """A timer and what it has left, to the second."""
    left = timer.left - passed
    minutes, seconds = divmod(max(0, round(left)), 60)
    return f"{timer.name}: {minutes}:{seconds:02} left" if left > 0 else f"{timer.name}: time is up"


def rendered(renderable: RenderableType, width: int, height: int, *, colour: bool) -> list[str]:
    """As terminal lines, ``height`` at most, none longer than ``width``."""
    console = Console(
        width=width, force_terminal=True, color_system="standard" if colour else None, legacy_windows=False
    )
    options = console.options.update(width=width, height=None)
    lines = console.render_lines(renderable, options, pad=False)[:height]
    with console.capture() as captured:
        console.print(Segments([part for line in lines for part in (*line, Segment.line())]), end="", crop=False)
    return captured.get().split("\n")[: len(lines)]
