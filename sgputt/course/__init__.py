"""The next course: what green speed and slope mean for this player."""
