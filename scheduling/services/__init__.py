"""Every write of the scheduling app: one function a use case."""
