"""What every test shares: drawn examples are the same on every run, unless a long run asks for fresh ones.

A run that decides whether a change may land must not hang on luck. ``MILLPHASE_FUZZ_EXAMPLES`` makes the long run that
looks for what the fixed examples miss; what it finds becomes an example of its own.
"""

from __future__ import annotations

import os

import hypothesis

hypothesis.settings.register_profile("same-on-every-run", derandomize=True, database=None)
if "MILLPHASE_FUZZ_EXAMPLES" not in os.environ:
    hypothesis.settings.load_profile("same-on-every-run")
