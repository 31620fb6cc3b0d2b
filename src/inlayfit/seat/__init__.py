"""Where the plug really sits: the cuts as the bits leave them, and what holds the plug up."""
