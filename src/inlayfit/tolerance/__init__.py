"""What the shop's spreads do to the joint: worst case, by root-sum-square, and over many drawn pairs."""
