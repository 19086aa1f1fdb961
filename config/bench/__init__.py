"""Measurements of speed, run by hand: ratios in one run, and nothing is asserted."""
