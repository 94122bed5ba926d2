"""What holds for every test."""

from __future__ import annotations

from hypothesis import settings

# An example may take long because another program has the processor; that is no fault of ours.
settings.register_profile("patient", settings.default, deadline=None)
settings.load_profile("patient")
