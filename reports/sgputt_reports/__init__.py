"""Offline pages of what sgputt found."""
