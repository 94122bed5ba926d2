"""What others need from each distance."""
