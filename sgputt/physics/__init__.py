"""A ball on a green: how it rolls, what the hole takes, and the perfect read."""
