"""Plateful in one command: make what it needs, then open the demo planned.

Run `python3 packaging/run.py`, or with `--help` to see what else it can do. Without a screen it writes the demo's
plan, guide and picture as files.
"""

import sys

# Nothing above this check may need a newer Python: an old one has to get as far as the sentence.
if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit("Plateful needs Python 3.11 or newer; this is " + sys.version.split()[0] + ", start it with a newer one.")

from launching.opening import main

sys.exit(main())
