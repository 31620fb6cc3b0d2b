"""The best set-up for a drawing from the bits that a shop owns."""
