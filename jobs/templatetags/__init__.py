"""Template tags of the base app."""
