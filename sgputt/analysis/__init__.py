"""Everything that rounds have to say, as one object for the terminal, pages, exports and Python."""
