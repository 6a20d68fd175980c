"""The commands of the command line: a folder for each subject, and in it a module for each subcommand.

``arguments`` in each folder adds the subcommands' parsers. It imports nothing heavy: a subcommand's own module, and the
speech engines that it may need, are loaded when it is run, so that help comes at once.
"""
