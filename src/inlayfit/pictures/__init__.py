"""Drawings of a planned joint and the bench card, as text: SVG and HTML. No file is read or written here."""
