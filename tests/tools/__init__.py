"""Tools of the workshop behind the program, run by hand: ``python -m tests.tools.NAME``."""
