"""The command line: read, one call, render, exit. The only package that imports click."""

from inlayfit.cli.command_line import main, run

__all__ = ["main", "run"]
