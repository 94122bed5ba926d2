"""Rounds, their scorecards and the practice log, kept in one SQLite file."""
