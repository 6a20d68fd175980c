"""The files of the log: proved, saved, rescued, thinned out.

- ``arguments``: the arguments of the commands about the files of the log.
"""

__all__ = ["arguments"]
