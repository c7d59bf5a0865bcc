"""Pages, API, live updates, static assets. An edge."""
