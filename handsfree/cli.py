"""The commands: arguments in, exit codes out (0 good, 2 wrong use or input, 1 otherwise)."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path

from handsfree import __version__
from handsfree.commands.job_options import job_actions
from handsfree.commands.options import bench_options, logs_option, recogniser_options, whose_options, workshop_options

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

    def add(name: str, run: str, help_: str, more: str = "") -> argparse.ArgumentParser:
        command = commands.add_parser(
            name,
            help=help_,
            description=f"{help_[0].upper()}{help_[1:]}. {more}".strip(),
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.set_defaults(run=run)
        return command

    run = add("run", "run.run", "work a job by voice, or take an unfinished one up again")
    run.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    bench_options(run)
    run.add_argument("--item", metavar="TEXT", help="which item is on the bench")
    whose_options(run)
    run.add_argument("--job", metavar="JOB", help="work this job, with whatever procedure was worked in it before")
    run.add_argument("--by", metavar="NAME", help="who is at the bench: the name for sign off")

    rehearse = add(
        "rehearse",
        "rehearse.rehearse",
        "try a procedure out without an item",
        "Everything is as at the bench, but waiting times pass fast, and the job is kept apart from the real ones.",
    )
    rehearse.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    rehearse.add_argument(
        "--speed", type=float, default=60.0, metavar="N", help="how many times faster a waiting time passes (60)"
    )
    bench_options(rehearse, listen="typed", speak="print")
    rehearse.set_defaults(item=None, serial=None, owner=None, job=None, by=None)

    strip = add(
        "strip",
        "making.strip",
        "take an item apart and say what comes off",
        "handsfree draft writes the procedure for putting it back from it.",
    )
    strip.add_argument("item", metavar="ITEM", help="what is taken apart, in quotes")
    strip.add_argument(
        "--part", action="append", default=[], metavar="NAME", help="a part's name that can be said besides the usual"
    )
    bench_options(strip)
    whose_options(strip)
    strip.set_defaults(job=None, by=None)

    draft = add(
        "draft",
        "making.draft",
        "write the procedure for putting back what a job took apart",
        "What only the writer can know is marked with GAP, and handsfree check lists it.",
    )
    draft.add_argument("job", metavar="JOB", nargs="?", help="the job's number (default: the last one of strip)")
    draft.add_argument("--to", type=Path, metavar="FILE.yaml", help="write it there (default: to standard output)")
    logs_option(draft)

    propose = add(
        "propose",
        "making.propose",
        "propose changes to a procedure from the jobs done with it",
        "They are shown as a patch; nothing is changed unless --apply is given.",
    )
    propose.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    propose.add_argument("--jobs", type=int, default=3, metavar="N", help="the fewest jobs behind a proposal (3)")
    propose.add_argument("--apply", action="store_true", help="change the file as proposed")
    logs_option(propose)

    card = add("card", "making.card", "make a bench card and tray list of a procedure, to print on A4")
    card.add_argument("procedure", metavar="PROCEDURE", help="a procedure file, or the name of one that is shipped")
    card.add_argument("--to", type=Path, metavar="FILE.html", help="where to (default: the procedure's name, here)")

    devices = add("devices", "devices.devices", "list microphones and loudspeakers, and remember which to use")
    devices.add_argument("--microphone", metavar="NAME", help="remember this one: its name or a part of it")
    devices.add_argument("--loudspeaker", metavar="NAME", help="remember this one: its name or a part of it")
    devices.add_argument("--forget", action="store_true", help="go back to the system's own choice")

    bench_check = add(
        "bench-check",
        "bench_check.bench_check",
        "check microphone, noise, loudspeaker, recogniser and disk at the bench",
    )
    bench_check.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    bench_check.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker: its name or a part of it")
    bench_check.add_argument("--no-phrases", action="store_true", help="leave out the three phrases to say")
    recogniser_options(bench_check)
    logs_option(bench_check)

    fetch = add("fetch-model", "fetch_model.fetch_model", "fetch the small English Vosk model, for a second ear")
    fetch.add_argument("--to", type=Path, metavar="FOLDER", help="where to put it (default: where run looks for it)")
    fetch.add_argument("--from", dest="source", metavar="FILE|URL", help="another place to get the archive from")

    hear = add("hear", "hear.hear", "tell what each recording is taken for")
    hear.add_argument("files", nargs="+", metavar="FILE", help="a recording (WAV, FLAC, OGG and the like)")
    hear.add_argument(
        "--procedure",
        default="focusing-slide",
        metavar="P",
        help="the procedure whose names may be said (default: focusing-slide)",
    )
    hear.add_argument("--json", action="store_true", help="one JSON object a line, for programs")
    recogniser_options(hear)

    demo = add("demo", "demo.demo", "play a whole job from one recording, through the real recogniser")
    demo.add_argument("--save", metavar="FILE.wav", help="write what a person in the room would have heard")
    demo.add_argument("--quiet", action="store_true", help="print only, even where there is a loudspeaker")
    recogniser_options(demo)
    logs_option(demo, "keep the demo's job in this folder (default: it is thrown away)")

    figure = add(
        "figure",
        "figure.figure",
        "tell what a figure means, or do a bench sum",
        _SUMS,
    )
    figure.add_argument("text", nargs="+", metavar="TEXT", help="as it is said, or written")
    figure.add_argument("--json", action="store_true", help="one JSON object, for programs")
    figure.add_argument("--blades", metavar="SET", help='a set of blades, such as "0.05, 0.1, 0.2 mm"')
    figure.add_argument("--shims", metavar="SET", help='a set of shims, such as "4 x 0.1, 2 x 0.2 mm"')
    workshop_options(figure)

    jobs = add("jobs", "log.jobs", "list the jobs in the log")
    jobs.add_argument("--rehearsals", action="store_true", help="the rehearsals in place of the real jobs")
    logs_option(jobs)

    job = add("job", "job.new", "take a job in, add to it, type, correct, sign it off, open it again")
    job_actions(job)

    review = add("review", "log.review", "print the review of a job")
    review.add_argument(
        "job", metavar="JOB", nargs="?", help="a job's number as listed by jobs (default: the last one)"
    )
    review.add_argument("--history", action="store_true", help="what was corrected or taken back, and when")
    review.add_argument("--entries", action="store_true", help="every entry with its name, as job correct wants it")
    review.add_argument("--spoken", action="store_true", help="only what is read aloud at the bench")
    logs_option(review)

    verify = add(
        "verify",
        "verify.verify",
        "prove that the log is what was written",
        "Recomputes the chain of hashes over each job's events and looks at the sounds they name.\n"
        "A chain alone does not show that its end was cut off: --hash compares with a hash that was noted elsewhere.",
    )
    verify.add_argument("job", metavar="JOB", nargs="?", help="a job's number (default: all jobs)")
    verify.add_argument("--hash", metavar="HASH", help="a hash of the job that was noted earlier, as on its report")
    logs_option(verify)

    rescue = add(
        "rescue",
        "keep.rescue",
        "save what can be read of a damaged log",
        "The damaged files are only read. Each job is saved up to what is lost, and after it.",
    )
    rescue.add_argument("--into", type=Path, metavar="FOLDER", required=True, help="a new folder for the saved log")
    logs_option(rescue, "the damaged log (default: where the log is kept)")

    forget = add(
        "forget",
        "keep.forget",
        "delete the sounds of a job, or old ones",
        "Their hashes stay in the log, so that it holds.",
    )
    forget.add_argument("job", metavar="JOB", nargs="?", help="a job's number")
    forget.add_argument(
        "--older-than", type=int, metavar="DAYS", help="of all jobs on which nobody worked for so many days"
    )
    logs_option(forget)

    where = add("where", "keep.where", "print where everything is kept", "Everything stays on this machine.")
    logs_option(where)

    report = add(
        "report",
        "report.report",
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
    logs_option(report)

    history = add(
        "history",
        "history.history",
        "show what was measured and noted in earlier jobs",
        "WHAT is an item, a serial number, or the name of something that is measured.",
    )
    history.add_argument("what", metavar="WHAT", nargs="?", help="an item, a serial number, or what was measured")
    history.add_argument("--item", metavar="TEXT", help="only jobs on this item")
    history.add_argument("--serial", metavar="TEXT", help="only jobs on this serial number")
    history.add_argument("--figure", metavar="NAME", help="only this characteristic")
    history.add_argument("--most", type=int, default=20, metavar="N", help="how many jobs at most (default: 20)")
    history.add_argument("--out", metavar="FILE.html", help="write a page, with charts over the jobs")
    logs_option(history)

    search = add("search", "history.search", "find words in notes, reasons and other free text of all jobs")
    search.add_argument("words", nargs="+", metavar="WORD", help="words, or beginnings of words; all have to be there")
    search.add_argument("--most", type=int, default=50, metavar="N", help="how many at most (default: 50)")
    logs_option(search)

    backup = add("backup", "backup.backup", "save the whole log, sounds and all, in one file")
    backup.add_argument("file", type=Path, metavar="FILE", help="the file to make")
    logs_option(backup)

    restore = add("restore", "backup.restore", "bring a saved log back, into a folder that holds none")
    restore.add_argument("file", type=Path, metavar="FILE", help="a file made by backup")
    logs_option(restore, "the folder to bring it back into")

    check = add("check", "procedures.check", "check procedure files")
    check.add_argument("procedures", nargs="+", metavar="PROCEDURE", help="a file, or the name of a shipped procedure")

    add("schema", "procedures.schema", "print the JSON Schema of procedure files, for completion in editors")

    phrases = add("phrases", "procedures.phrases", "show everything that can be said")
    phrases.add_argument("procedure", nargs="?", metavar="PROCEDURE", help="with the names of this procedure")
    return parser


def _command(where: str) -> Callable[[argparse.Namespace], int]:
    """The function "module.function" of ``commands``; loaded only now: help must not wait for speech engines."""
    module, _, function = where.partition(".")
    found: Callable[[argparse.Namespace], int] = getattr(import_module(f"handsfree.commands.{module}"), function)
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit code. Problems of use or input are one sentence on standard error."""
    args = _parser().parse_args(arguments)
    try:
        code = _command(args.run)(args)
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
