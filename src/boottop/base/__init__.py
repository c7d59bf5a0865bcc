"""Units, clocks and errors. Nothing above it: every other room imports from here."""
