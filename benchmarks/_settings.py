"""The workshop's own settings, with one empty page beside its pages and nothing else changed."""

from tickover.shed.settings import *  # noqa: F403

ROOT_URLCONF = "benchmarks._urls"
