"""Telling skill from luck."""
