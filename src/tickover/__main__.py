"""``python -m tickover`` is the same as the ``tickover`` command."""

from tickover.cli import main

main()
