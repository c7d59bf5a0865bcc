"""Edge: files."""
