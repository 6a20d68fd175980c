"""For the tests of the page: Debian's Chromium, driven by playwright."""

from __future__ import annotations

import shutil

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

# No sandbox: tests may run as root. The rest keeps the browser from calling out.
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
