"""The tests, by room."""

import os
import sys

# Where tests run, other processes and threads have work for each core: those with which a library would share out its
# sums only wait for one another. It is read when the library is loaded.
if "pytest" in sys.modules:
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
        os.environ.setdefault(name, "1")
