"""The log on disk: written once, proved, kept safe, and saved when it is damaged.

- ``backup``: the whole log in one file, and back again.
- ``beside``: what is kept beside the database, and what a program that was ended in the middle left there.
- ``clips``: the sounds that logged words came from, kept beside the log under the hash of their samples.
- ``forget``: taking out what must not be kept without breaking the log: sounds, attached files, and what is
  personal of an owner.
- ``numbers``: the numbers of jobs, and the names of sounds: what becomes the name of a file is nothing else.
- ``rescue``: saving what can be saved of a damaged log into a new one. The damaged files are only read.
- ``sounds``: which sounds the events of a job name, and which of them lie in another one as well.
- ``store``: the log on disk: jobs and their events in one SQLite file, clips beside it.
- ``verify``: proving a job's log: its chain of hashes, what else the file says of it, and the sounds it names.
"""

__all__ = ["backup", "beside", "clips", "forget", "numbers", "rescue", "sounds", "store", "verify"]
