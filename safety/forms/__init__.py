"""Forms of the safety app: they parse and shape, and decide nothing."""
