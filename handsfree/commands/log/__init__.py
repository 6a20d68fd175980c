"""The files of the log: proved, saved, rescued, thinned out."""
