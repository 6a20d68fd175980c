"""Who watches a job of ``handsfree run``: the page, the view on the terminal, or neither."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from handsfree.bench.bench import Bench, Line
from handsfree.bench.printing import lines_of_event
from handsfree.bench.watching import InputSource, job_review, watch
from handsfree.commands.bench.sitting import closing_of
from handsfree.commands.output import columns, steered
from handsfree.display.address import PORT, parse_address, qr_lines
from handsfree.display.review import JobReview
from handsfree.guide.view.shown import View
from handsfree.job.errors import LogError
from handsfree.job.log.store import Store
from handsfree.procedure.file.problems import ProcedureError
from handsfree.text.columns import within

if TYPE_CHECKING:
    from handsfree.display.server import PageServer
    from handsfree.display.terminal import TerminalView


@contextmanager
def watched(
    args: argparse.Namespace,
    bench: Bench,
    store: Store,
    *,
    now: Callable[[], datetime],
    source: InputSource,
    press: Callable[[str], None] | None = None,
) -> Iterator[None]:
    """While this lasts, what happens at ``bench`` can be seen as ``args`` has it. DisplayError."""
    receivers: list[Callable[[View], None]] = []
    with ExitStack() as stack:
        server = _server(args, bench, store, press)
        if server is not None:
            server.start()
            stack.callback(server.close)
            receivers.append(server.show)
        # A recording is heard faster than a screen can be read, so its job is told in lines.
        if _on_a_terminal() and not args.plain and source != "recording":
            # By now the microphone is listened to, which does not have to wait for what draws.
            from handsfree.display.terminal import TerminalView  # noqa: PLC0415

            colour = "NO_COLOR" not in os.environ
            view = TerminalView(
                steered(sys.stdout),
                aside=lambda: _aside(server),
                prompt=_foot(server, source),
                colour=colour,
            )
            bench.show_through(partial(_tell, view, now, colour))
            receivers.append(view.show)
            # The screen is given back as it was: what stays is said there.
            stack.callback(_sum_up, bench, store)
            stack.callback(view.close)
            view.start()
        elif server is not None:
            print("\n".join(_told(server)), file=steered(sys.stdout))
        watch(bench, now, source, receivers)
        yield


def _tell(view: TerminalView, now: Callable[[], datetime], colour: bool, line: Line, text: str) -> None:
    at = now()
    view.add(lambda width: lines_of_event(at, line, text, width, colour=colour))


def _sum_up(bench: Bench, store: Store) -> None:
    if bench.log is not None:
        with within(columns()):
            print("\n".join(closing_of(store, bench.log.job)))


def _foot(server: PageServer | None, source: InputSource) -> str:
    parts = ["Type what you would say:"] if source == "typed" else []
    return "   ".join(parts + ([f"Display: {server.url}"] if server else []))


def _on_a_terminal() -> bool:
    return sys.stdout.isatty() and os.environ.get("TERM") != "dumb"


def _server(
    args: argparse.Namespace, bench: Bench, store: Store, press: Callable[[str], None] | None
) -> PageServer | None:
    if not (args.display or args.display_address is not None or args.display_buttons):
        return None
    # Most jobs have no page, and what serves it takes a fifth of a second to load.
    from handsfree.commands.jobs.report import report_content  # noqa: PLC0415
    from handsfree.display.server import PageServer  # noqa: PLC0415

    def review() -> JobReview | None:
        return job_review(store, bench.log.job) if bench.log is not None else None

    def report() -> str | None:
        try:
            return report_content(store, bench.log.job, "html", "none") if bench.log is not None else None
        except (LogError, ProcedureError):
            return None

    if args.display_buttons and press is None:
        print("A recording or piped text takes no buttons: the display only shows.", file=sys.stderr)
    place = parse_address(f"127.0.0.1:{PORT}" if args.display_address is None else args.display_address)
    return PageServer(place, review=review, report=report, press=press if args.display_buttons else None)


def _told(server: PageServer) -> list[str]:
    """The address, and its code where another device has to find it."""
    lines = [f"The display: {server.url}"]
    if server.has_key:
        lines.append("Whoever has this address can watch. It is new for each job.")
        code = qr_lines(server.url)
        lines += [f"\x1b[30;47m{line}\x1b[0m" for line in code] if sys.stdout.isatty() else code
    return lines


def _aside(server: PageServer | None) -> Sequence[str]:
    """The address stands on the terminal until the first page has come."""
    if server is None or server.watching:
        return ()
    return [server.url, *(qr_lines(server.url) if server.has_key else ())]
