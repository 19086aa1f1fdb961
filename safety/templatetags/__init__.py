"""Template tags of the safety app."""
