"""What all tests share: the folder of shared outlines on the path, and steady random tests."""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import settings

# tests are collected by file, so their own folder is not on the path by itself
sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.load_profile("steady")
