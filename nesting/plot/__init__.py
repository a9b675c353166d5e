"""Layout to pictures."""
