"""The demo: an invented firm whose story is replayed through the real services."""
