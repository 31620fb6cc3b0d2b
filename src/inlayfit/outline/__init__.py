"""The outline: regions, edges, discs and widths, the other drawing beside it; what jobs on it share."""
