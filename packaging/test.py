"""The whole check in one command: lint, types, import contracts, tests, and each benchmark once.

Run `python3 packaging/test.py`, or with `--help` to see how to run only a part of it.
"""

import sys

# Nothing above this check may need a newer Python: an old one has to get as far as the sentence.
if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit("Plateful needs Python 3.11 or newer; this is " + sys.version.split()[0] + ", start it with a newer one.")

from launching.checking import main

sys.exit(main())
