"""`python -m adapter` is `otherloaf`."""

import sys

from adapter.command_line import main

sys.exit(main())
