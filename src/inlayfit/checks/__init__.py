"""Findings about a joint."""
