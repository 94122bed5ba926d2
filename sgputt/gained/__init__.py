"""Strokes gained: by putt, and as sums by round."""
