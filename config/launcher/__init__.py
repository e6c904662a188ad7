"""What `./gaugerod` runs: the embedded services, the processes of the shop, and the words about them.

`__main__`, `install` and `words` run before anything is installed: they import the standard library only.
"""

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
