"""Faults done to the program by the hundred, and what becomes of each: ``python -m tests.faults --help``."""
