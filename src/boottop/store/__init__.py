"""Event log and documents through SQLAlchemy: SQLite by default, PostgreSQL for a yard. An edge."""
