"""`python -m advisor` is the same as the command `advisor`."""

import sys

from advisor.cli import main

sys.exit(main())
