"""The log on disk: written once, proved, kept safe, and saved when it is damaged."""
