"""Jobs: taken in, looked through, added to, written up, and looked back on.

- ``arguments``: the arguments of the commands about jobs.
- ``job_arguments``: the arguments of ``handsfree job``: an action, and what it wants.
"""

__all__ = ["arguments", "job_arguments"]
