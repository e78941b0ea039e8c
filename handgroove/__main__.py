"""``python -m handgroove`` is the ``handgroove`` command."""

from handgroove.cli import main

if __name__ == "__main__":
    main()
