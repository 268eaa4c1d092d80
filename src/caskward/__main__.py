"""`python -m caskward` is the command `caskward`."""

import sys

from caskward.cli import main

if __name__ == "__main__":
    sys.exit(main())
