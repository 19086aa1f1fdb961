"""Every write of the base app: one function a use case."""
