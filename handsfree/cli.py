"""The commands: arguments in, exit codes out (0 good, 2 wrong use or input, 1 otherwise)."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from handsfree import __version__
from handsfree.commands.job_options import job_actions

GOOD, OTHERWISE, WRONG_USE = 0, 1, 2

_DESCRIPTION = """\
A bench assistant for repairers with both hands in the work. It listens offline to short spoken phrases,
walks a procedure aloud step by step, decides each measurement against its limits, and keeps the log."""

_EPILOG = """\
begin here:
  handsfree demo                        a whole job from a recording, heard and answered
  handsfree run focusing-slide          the same job yourself, with the microphone
  handsfree run focusing-slide --listen typed
                                        the same, typed: one phrase a line
  handsfree phrases focusing-slide      everything that can be said

The maker's data, local rules and licensed practice come before anything a procedure says."""

_SUMS = """\
Sums are asked for as at the bench:
  convert 4 thou to mm                  what is 10 thou minus 0.1 mm
  blades for 0.35 mm                    shims for 0.27 mm
  travel of M3 in two turns             travel of two start 1.5 mm pitch in one turn
  what percent is 4 thou of 5 thou      error of 1.05 seconds against 1 second"""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="handsfree",
        description=_DESCRIPTION,
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"handsfree {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    def add(name: str, run: Callable[[argparse.Namespace], int], help_: str, more: str = "") -> argparse.ArgumentParser:
        command = commands.add_parser(
            name,
            help=help_,
            description=f"{help_[0].upper()}{help_[1:]}. {more}".strip(),
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.set_defaults(run=run)
        return command

    run = add("run", _run, "work a job by voice, or take an unfinished one up again")
    run.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    _bench_options(run)
    run.add_argument("--item", metavar="TEXT", help="which item is on the bench")
    _whose_options(run)
    run.add_argument("--job", metavar="JOB", help="work this job, with whatever procedure was worked in it before")
    run.add_argument("--by", metavar="NAME", help="who is at the bench: the name for sign off")

    rehearse = add(
        "rehearse",
        _rehearse,
        "try a procedure out without an item",
        "Everything is as at the bench, but waiting times pass fast, and the job is kept apart from the real ones.",
    )
    rehearse.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    rehearse.add_argument(
        "--speed", type=float, default=60.0, metavar="N", help="how many times faster a waiting time passes (60)"
    )
    _bench_options(rehearse, listen="typed", speak="print")
    rehearse.set_defaults(item=None, serial=None, owner=None, job=None, by=None)

    strip = add(
        "strip",
        _strip,
        "take an item apart and say what comes off",
        "handsfree draft writes the procedure for putting it back from it.",
    )
    strip.add_argument("item", metavar="ITEM", help="what is taken apart, in quotes")
    strip.add_argument(
        "--part", action="append", default=[], metavar="NAME", help="a part's name that can be said besides the usual"
    )
    _bench_options(strip)
    _whose_options(strip)
    strip.set_defaults(job=None, by=None)

    draft = add(
        "draft",
        _draft,
        "write the procedure for putting back what a job took apart",
        "What only the writer can know is marked with GAP, and handsfree check lists it.",
    )
    draft.add_argument("job", metavar="JOB", nargs="?", help="the job's number (default: the last one of strip)")
    draft.add_argument("--to", type=Path, metavar="FILE.yaml", help="write it there (default: to standard output)")
    _logs_option(draft)

    propose = add(
        "propose",
        _propose,
        "propose changes to a procedure from the jobs done with it",
        "They are shown as a patch; nothing is changed unless --apply is given.",
    )
    propose.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    propose.add_argument("--jobs", type=int, default=3, metavar="N", help="the fewest jobs behind a proposal (3)")
    propose.add_argument("--apply", action="store_true", help="change the file as proposed")
    _logs_option(propose)

    card = add("card", _card, "make a bench card and tray list of a procedure, to print on A4")
    card.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    card.add_argument("--to", type=Path, metavar="FILE.html", help="where to (default: the procedure's name, here)")

    devices = add("devices", _devices, "list microphones and loudspeakers, and remember which to use")
    devices.add_argument("--microphone", metavar="NAME", help="remember this one: its name or a part of it")
    devices.add_argument("--loudspeaker", metavar="NAME", help="remember this one: its name or a part of it")
    devices.add_argument("--forget", action="store_true", help="go back to the system's own choice")

    bench_check = add(
        "bench-check", _bench_check, "check microphone, noise, loudspeaker, recogniser and disk at the bench"
    )
    bench_check.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    bench_check.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker: its name or a part of it")
    bench_check.add_argument("--no-phrases", action="store_true", help="leave out the three phrases to say")
    _recogniser_options(bench_check)
    _logs_option(bench_check)

    fetch = add("fetch-model", _fetch_model, "fetch the small English Vosk model, for a second ear")
    fetch.add_argument("--to", type=Path, metavar="FOLDER", help="where to put it (default: where run looks for it)")
    fetch.add_argument("--from", dest="source", metavar="FILE|URL", help="another place to get the archive from")

    hear = add("hear", _hear, "tell what each recording is taken for")
    hear.add_argument("files", nargs="+", metavar="FILE", help="a recording (WAV, FLAC, OGG and the like)")
    hear.add_argument(
        "--procedure",
        default="focusing-slide",
        metavar="P",
        help="the procedure whose names may be said (default: focusing-slide)",
    )
    hear.add_argument("--json", action="store_true", help="one JSON object a line, for programs")
    _recogniser_options(hear)

    demo = add("demo", _demo, "play a whole job from one recording, through the real recogniser")
    demo.add_argument("--save", metavar="FILE.wav", help="write what a person in the room would have heard")
    demo.add_argument("--quiet", action="store_true", help="print only, even where there is a loudspeaker")
    _recogniser_options(demo)
    _logs_option(demo, "keep the demo's job in this folder (default: it is thrown away)")

    figure = add(
        "figure",
        _figure,
        "tell what a figure means, or do a bench sum",
        _SUMS,
    )
    figure.add_argument("text", nargs="+", metavar="TEXT", help="as it is said, or written")
    figure.add_argument("--json", action="store_true", help="one JSON object, for programs")
    figure.add_argument("--blades", metavar="SET", help='a set of blades, such as "0.05, 0.1, 0.2 mm"')
    figure.add_argument("--shims", metavar="SET", help='a set of shims, such as "4 x 0.1, 2 x 0.2 mm"')
    _workshop_options(figure)

    jobs = add("jobs", _jobs, "list the jobs in the log")
    jobs.add_argument("--rehearsals", action="store_true", help="the rehearsals in place of the real jobs")
    _logs_option(jobs)

    job = add("job", _job, "take a job in, add to it, type, correct, sign it off, open it again")
    job_actions(job)

    review = add("review", _review, "print the review of a job")
    review.add_argument(
        "job", metavar="JOB", nargs="?", help="a job's number as listed by jobs (default: the last one)"
    )
    review.add_argument("--history", action="store_true", help="what was corrected or taken back, and when")
    review.add_argument("--entries", action="store_true", help="every entry with its name, as job correct wants it")
    review.add_argument("--spoken", action="store_true", help="only what is read aloud at the bench")
    _logs_option(review)

    verify = add(
        "verify",
        _verify,
        "prove that the log is what was written",
        "Recomputes the chain of hashes over each job's events and looks at the sounds they name.\n"
        "A chain alone does not show that its end was cut off: --hash compares with a hash that was noted elsewhere.",
    )
    verify.add_argument("job", metavar="JOB", nargs="?", help="a job's number (default: all jobs)")
    verify.add_argument("--hash", metavar="HASH", help="a hash of the job that was noted earlier, as on its report")
    _logs_option(verify)

    rescue = add(
        "rescue",
        _rescue,
        "save what can be read of a damaged log",
        "The damaged files are only read. Each job is saved up to what is lost, and after it.",
    )
    rescue.add_argument("--into", type=Path, metavar="FOLDER", required=True, help="a new folder for the saved log")
    _logs_option(rescue, "the damaged log (default: where the log is kept)")

    forget = add(
        "forget", _forget, "delete the sounds of a job, or old ones", "Their hashes stay in the log, so that it holds."
    )
    forget.add_argument("job", metavar="JOB", nargs="?", help="a job's number")
    forget.add_argument(
        "--older-than", type=int, metavar="DAYS", help="of all jobs on which nobody worked for so many days"
    )
    _logs_option(forget)

    where = add("where", _where, "print where everything is kept", "Everything stays on this machine.")
    _logs_option(where)

    report = add(
        "report",
        _report,
        "write the report of a job",
        "One page that needs nothing else and prints on A4 and Letter: a summary for the owner, then the technical "
        "record. Or the same as data; the README says where the fields are listed.",
    )
    report.add_argument(
        "job", metavar="JOB", nargs="?", help="a job's number as listed by jobs (default: the last one)"
    )
    report.add_argument("--out", metavar="FILE", help="where to write it (default: job-JOB.html here); - to print it")
    report.add_argument(
        "--format", choices=("html", "csv", "json", "text"), help="what to write (default: by the file's ending)"
    )
    report.add_argument(
        "--sound",
        choices=("notes", "all", "none"),
        default="notes",
        help="which sounds to put into the page: of the notes (default), of every entry, or none",
    )
    _logs_option(report)

    history = add(
        "history",
        _history,
        "show what was measured and noted in earlier jobs",
        "WHAT is an item, a serial number, or the name of something that is measured.",
    )
    history.add_argument("what", metavar="WHAT", nargs="?", help="an item, a serial number, or what was measured")
    history.add_argument("--item", metavar="TEXT", help="only jobs on this item")
    history.add_argument("--serial", metavar="TEXT", help="only jobs on this serial number")
    history.add_argument("--figure", metavar="NAME", help="only this characteristic")
    history.add_argument("--most", type=int, default=20, metavar="N", help="how many jobs at most (default: 20)")
    history.add_argument("--out", metavar="FILE.html", help="write a page, with charts over the jobs")
    _logs_option(history)

    search = add("search", _search, "find words in notes, reasons and other free text of all jobs")
    search.add_argument("words", nargs="+", metavar="WORD", help="words, or beginnings of words; all have to be there")
    search.add_argument("--most", type=int, default=50, metavar="N", help="how many at most (default: 50)")
    _logs_option(search)

    backup = add("backup", _backup, "save the whole log, sounds and all, in one file")
    backup.add_argument("file", type=Path, metavar="FILE", help="the file to make")
    _logs_option(backup)

    restore = add("restore", _restore, "bring a saved log back, into a folder that holds none")
    restore.add_argument("file", type=Path, metavar="FILE", help="a file made by backup")
    _logs_option(restore, "the folder to bring it back into")

    check = add("check", _check, "check procedure files")
    check.add_argument("procedures", nargs="+", metavar="PROCEDURE", help="a file, or the name of a shipped procedure")

    add("schema", _schema, "print the JSON Schema of procedure files, for completion in editors")

    phrases = add("phrases", _phrases, "show everything that can be said")
    phrases.add_argument("procedure", nargs="?", metavar="PROCEDURE", help="with the names of this procedure")
    return parser


def _recogniser_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--recogniser",
        choices=("auto", "builtin", "vosk", "both"),
        default="auto",
        help="auto (default): Vosk where a model for it is found, else the built-in one; both: two ears",
    )
    command.add_argument("--vosk-model", type=Path, metavar="FOLDER", help="an unpacked Vosk model")


def _workshop_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--workshop", type=Path, metavar="FILE", help="the workshop's file: its tools and its English")
    command.add_argument("--english", choices=("british", "american"), help="how figures are said")


def _display_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--display", action="store_true", help="serve a page that shows where the job stands, to this machine only"
    )
    command.add_argument(
        "--display-address",
        metavar="HOST[:PORT]",
        help="serve it there, to whoever has the key in the address: 0.0.0.0 for the workshop's network",
    )
    command.add_argument(
        "--display-buttons", action="store_true", help="with two buttons on the page: stand by, and next"
    )
    command.add_argument("--plain", action="store_true", help="plain lines on a terminal, without the full view")


def _bench_options(command: argparse.ArgumentParser, listen: str = "mic", speak: str = "aloud") -> None:
    command.add_argument(
        "--listen",
        default=listen,
        metavar="mic|typed|FILE",
        help=f"the microphone, typed lines from standard input, or a recording (default: {listen})",
    )
    command.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    command.add_argument(
        "--speak",
        default=speak,
        metavar="aloud|print|FILE.wav",
        help=f"through the loudspeaker, only printed, or into a sound file (default: {speak})",
    )
    command.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker or headset: its name or a part of it")
    command.add_argument(
        "--barge-in", action="store_true", help="listen while speaking too: with a headset, speech may be cut into"
    )
    command.add_argument(
        "--key", metavar="NAME", help="a key of this terminal, or a pedal that types it: space, f9, b ..."
    )
    command.add_argument(
        "--pedal", type=Path, metavar="DEVICE", help="a pedal as a Linux input device (/dev/input/...)"
    )
    command.add_argument(
        "--key-does",
        choices=("talk", "stand-by"),
        default="talk",
        help="what the key or pedal does: listen only when it is pressed (default), or stand by and come back",
    )
    command.add_argument(
        "--keep-heard",
        action="store_true",
        help="help to improve hearing: keep the sound of everything heard at the bench, in the folder heard of the log",
    )
    _display_options(command)
    _recogniser_options(command)
    _logs_option(command)
    command.add_argument("--new", action="store_true", help="begin a new job although an unfinished one is there")
    _workshop_options(command)


def _whose_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--serial", metavar="TEXT", help="its serial number")
    command.add_argument("--owner", metavar="TEXT", help="whose it is, or the owner's reference")


def _logs_option(command: argparse.ArgumentParser, help_: str = "where the log is kept") -> None:
    command.add_argument("--logs", type=Path, metavar="FOLDER", help=help_)


# The commands import what they need themselves: a help text must not wait for speech engines to load.


def _run(args: argparse.Namespace) -> int:
    from handsfree.commands.run import run

    return run(args)


def _devices(args: argparse.Namespace) -> int:
    from handsfree.commands.devices import devices

    return devices(args)


def _bench_check(args: argparse.Namespace) -> int:
    from handsfree.commands.bench_check import bench_check

    return bench_check(args)


def _fetch_model(args: argparse.Namespace) -> int:
    from handsfree.commands.fetch_model import fetch_model

    return fetch_model(args)


def _rehearse(args: argparse.Namespace) -> int:
    from handsfree.commands.rehearse import rehearse

    return rehearse(args)


def _strip(args: argparse.Namespace) -> int:
    from handsfree.commands.making import strip

    return strip(args)


def _draft(args: argparse.Namespace) -> int:
    from handsfree.commands.making import draft

    return draft(args)


def _propose(args: argparse.Namespace) -> int:
    from handsfree.commands.making import propose

    return propose(args)


def _card(args: argparse.Namespace) -> int:
    from handsfree.commands.making import card

    return card(args)


def _hear(args: argparse.Namespace) -> int:
    from handsfree.commands.hear import hear

    return hear(args)


def _demo(args: argparse.Namespace) -> int:
    from handsfree.commands.demo import demo

    return demo(args)


def _figure(args: argparse.Namespace) -> int:
    from handsfree.commands.figure import figure

    return figure(args)


def _jobs(args: argparse.Namespace) -> int:
    from handsfree.commands.log import jobs

    return jobs(args)


def _job(args: argparse.Namespace) -> int:
    from handsfree.commands import job

    code: int = getattr(job, args.action)(args)
    return code


def _review(args: argparse.Namespace) -> int:
    from handsfree.commands.log import review

    return review(args)


def _verify(args: argparse.Namespace) -> int:
    from handsfree.commands.verify import verify

    return verify(args)


def _report(args: argparse.Namespace) -> int:
    from handsfree.commands.report import report

    return report(args)


def _history(args: argparse.Namespace) -> int:
    from handsfree.commands.history import history

    return history(args)


def _search(args: argparse.Namespace) -> int:
    from handsfree.commands.history import search

    return search(args)


def _backup(args: argparse.Namespace) -> int:
    from handsfree.commands.backup import backup

    return backup(args)


def _restore(args: argparse.Namespace) -> int:
    from handsfree.commands.backup import restore

    return restore(args)


def _rescue(args: argparse.Namespace) -> int:
    from handsfree.commands.keep import rescue

    return rescue(args)


def _forget(args: argparse.Namespace) -> int:
    from handsfree.commands.keep import forget

    return forget(args)


def _where(args: argparse.Namespace) -> int:
    from handsfree.commands.keep import where

    return where(args)


def _check(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures import check

    return check(args)


def _schema(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures import schema

    return schema(args)


def _phrases(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures import phrases

    return phrases(args)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit code. Problems of use or input are one sentence on standard error."""
    args = _parser().parse_args(arguments)
    try:
        code: int = args.run(args)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # Whoever read our output has enough of it (head, less).
        sys.stderr.close()
        return GOOD
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return OTHERWISE
    except Exception as error:
        from handsfree.commands.problems import exit_code_of

        known = exit_code_of(error)
        if known is None:
            raise
        print(f"handsfree {args.command}: {error}", file=sys.stderr)
        return known


if __name__ == "__main__":
    sys.exit(main())
