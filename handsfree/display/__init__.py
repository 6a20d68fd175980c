"""What can be looked at: the page for a tablet across the bench, and the view on a terminal.

- ``address``: where the page is served, who may see it, and how the address is told.
- ``errors``: what can go wrong with showing.
- ``review``: what the page shows of a job as a whole: made elsewhere, from the log alone.
- ``server``: the server: a thread of its own that lives as long as the job.
- ``terminal``: the view on a terminal: drawn on a screen of its own, with a line left for typing, in a thread of its
  own.
"""

__all__ = ["address", "errors", "review", "server", "terminal"]
