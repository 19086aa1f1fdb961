"""Pages of the safety app: thin, and the only ones here that read the clock."""
