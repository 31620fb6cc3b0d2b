"""Cuts: paths of a cutter in space, whatever wrote them, and the solids that they remove."""
