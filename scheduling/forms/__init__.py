"""Forms of the scheduling app: they parse and shape what people type; they write nothing."""
