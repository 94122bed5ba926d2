"""Telling skill from luck: intervals, differences, shrinkage."""
