"""The pure geometry of the joint."""
