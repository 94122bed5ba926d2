"""From losses to drills."""
