"""``python -m inlayfit``, and the console script."""

from __future__ import annotations

import sys

from inlayfit.cli import run


def main() -> None:
    """Run and leave with the exit status."""
    sys.exit(run())


if __name__ == "__main__":
    main()
