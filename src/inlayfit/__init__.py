"""Depths, passes and fit of V-cut wood inlays."""

from __future__ import annotations

__version__ = "0.1.0"
