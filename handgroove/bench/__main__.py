"""``python -m handgroove.bench`` is ``handgroove bench``."""

import sys

from handgroove.cli import main

if __name__ == "__main__":
    sys.argv.insert(1, "bench")
    main()
