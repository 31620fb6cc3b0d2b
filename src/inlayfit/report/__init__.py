"""Plans and verdicts as text and data."""
