"""The commands of the command line: a folder for each subject, and in it a module for each subcommand.

- ``bench``: at the bench, and getting it ready: a job by voice, rehearsals, the demo, recordings, devices, models.
- ``jobs``: jobs: taken in, looked through, added to, written up, and looked back on.
- ``log``: the files of the log: proved, saved, rescued, thinned out.
- ``problems``: which exit code a problem has.
- ``procedures``: procedure files checked and made, what can be said with them, and bench sums.
"""

__all__ = ["bench", "jobs", "log", "problems", "procedures"]
