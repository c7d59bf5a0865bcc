"""`python -m boottop`."""

from boottop.cli import main

main()
