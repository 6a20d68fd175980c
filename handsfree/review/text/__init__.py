"""The review as text: for the terminal and for the ear.

- ``at_bench``: the review as the guide steps through it by voice: the spoken summary, and every point as plain data.
- ``closing``: what stays on a terminal when a job is left.
- ``job_facts``: the job as a whole in the review: take-in, parts, materials, findings, tally, sign-off; and its
  history.
- ``spoken``: the review for the ear: short sentences, the most important first, over within a minute.
- ``taken_apart``: what a job took apart, as a list to be read.
- ``whole``: the review of a job as plain text: what needs attention first, then everything the log holds.
"""

__all__ = ["at_bench", "closing", "job_facts", "spoken", "taken_apart", "whole"]
