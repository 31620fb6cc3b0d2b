"""Many sheets and variants in one run."""
