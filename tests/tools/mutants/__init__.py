"""Do the tests notice? Plants mistakes one at a time and looks whether the tests of the same room fail.

``planting`` makes the mistakes from a module's text, ``rooms`` says which files and tests belong together, ``copy_of``
and ``trial`` run the tests on a copy of the repository, ``reviewed`` knows the mistakes that change nothing.
"""
