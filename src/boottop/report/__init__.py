"""Edge: report."""
