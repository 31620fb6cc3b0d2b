"""Outline files, read to polygons."""
