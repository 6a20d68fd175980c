"""Procedures made: drafted from what was taken apart, changed by experience, printed for the bench.

- ``card``: a procedure on paper: the bench card with its steps, what to lay out, and what lies in which tray.
- ``disassembly_list``: what a job took apart, as a procedure to be worked.
- ``draft``: a procedure for putting back what a job took apart: the reverse order, with everything that was said on
  the way.
- ``experience``: what several jobs say about their procedure: figures, order, and where people went back.
- ``patch``: proposals as changes to the text of a procedure file: every other line stays as it is, comments and all.
- ``tool_check``: the check of a measuring tool against a standard, as a procedure; and what its checks have shown.
"""

__all__ = ["card", "disassembly_list", "draft", "experience", "patch", "tool_check"]
