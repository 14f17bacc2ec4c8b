"""tickover: the workshop companion for a motorcycle build."""

import os

# The circuits solved here are small: a second thread for one costs more than it brings. Read as numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
