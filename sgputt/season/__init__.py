"""Rounds and seasons summed up."""
