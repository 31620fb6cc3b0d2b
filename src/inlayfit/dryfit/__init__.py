"""The dry fit: from readings at the bench to how the plug sits, why, and the cut that helps."""
