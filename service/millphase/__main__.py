"""Run the command line with ``python -m millphase``."""

from millphase.cli import main

raise SystemExit(main())
