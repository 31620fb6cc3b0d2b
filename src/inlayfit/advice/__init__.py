"""What to change so that a joint fits: every suggestion is planned again before it is made."""
