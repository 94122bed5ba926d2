"""The commands, a room for those that belong together: what is typed, and no work."""
