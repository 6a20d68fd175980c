"""The commands of the command line: a folder for each subject, and in it a module for each subcommand.

- ``bench``: at the bench: a job by voice, rehearsals, taking apart, the demo.
- ``counter``: between the counter in and the counter out: parts to order.
- ``equipment``: getting the bench ready: devices, a check of everything, models, recordings.
- ``jobs``: jobs: taken in, looked through, added to, written up, and looked back on.
- ``log``: the files of the log: proved, saved, rescued, thinned out.
- ``options``: what the parsers of several subcommands share, and help that fits the terminal.
- ``output``: what goes to standard output and standard error: all of it passes through here.
- ``problems``: which exit code a problem has.
- ``procedures``: procedure files checked and made, what can be said with them, and bench sums.
"""

__all__ = ["bench", "counter", "equipment", "jobs", "log", "options", "output", "problems", "procedures"]
