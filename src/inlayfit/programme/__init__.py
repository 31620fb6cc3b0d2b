"""The open language of numerical control, read: text in, moves out."""
