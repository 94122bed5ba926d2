"""A player's stroke: read, direction, pace and habits, and what follows from them."""
