"""What lists, looking back and search need of the log, in a file beside it that is never the truth."""
