"""Pages of the base app, a module a noun."""
