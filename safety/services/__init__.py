"""Every write of the safety app: one function a use case."""
