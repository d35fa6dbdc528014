"""Speaks as the planner does, without planning: for tests of who listens.

`python speaking_planner.py FOLDER plan PROJECT --out PLAN --stream …` says every line of FOLDER/lines (one JSON object
each), then waits for its input to end if FOLDER/wait exists, and ends with the code in FOLDER/code.
"""

import sys
from pathlib import Path

folder = Path(sys.argv[1])
(folder / "asked").write_text("\n".join(sys.argv[2:]))
for line in (folder / "lines").read_text().splitlines():
    print(line, flush=True)
print((folder / "complaint").read_text() if (folder / "complaint").exists() else "", end="", file=sys.stderr)
if (folder / "wait").exists():
    sys.stdin.read()
    print((folder / "last").read_text(), flush=True)
sys.exit(int((folder / "code").read_text()))
