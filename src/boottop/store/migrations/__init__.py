"""Steps of the schema, oldest first; each runs once, forward, in a transaction of its own. Never edited afterwards."""
