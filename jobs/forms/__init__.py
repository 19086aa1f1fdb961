"""Forms of the base app: they parse and shape what people type; they write nothing."""
