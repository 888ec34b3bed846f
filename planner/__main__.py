"""Let ``python -m planner`` do what the command ``lowline`` does."""

import sys

from planner.cli import main

if __name__ == "__main__":
    sys.exit(main())
