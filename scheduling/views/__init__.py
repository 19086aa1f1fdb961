"""Pages of the scheduling app, a module a noun. Only they and tasks read the clock."""
