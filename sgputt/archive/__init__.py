"""Where rounds are kept."""
