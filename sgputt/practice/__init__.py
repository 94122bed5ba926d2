"""Drills: which to do next, their pass marks, plans, the log, and whether practice shows."""
