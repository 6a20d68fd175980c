"""What is kept beside the database of the log, and what is left there by a program that was ended in the middle.

- ``ledger``: how many events each job has and the hash of its last one, a second time, in a file of its own.
"""

__all__ = ["ledger"]
