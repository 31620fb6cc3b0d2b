"""Posted programmes as a pair: which bit cut what, where on the part, and what the two solids make of each other."""
