"""The stroke model: start line and pace, and what follows from them."""
