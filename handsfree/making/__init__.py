"""Procedures made: drafted from what was taken apart, changed by experience, printed for the bench."""
