"""A job put into words: entries, gaps, dangers, tallies and figures, the same for voice, page and print."""
