"""Derives the small tables of a wheel from a package that only its builder needs (``lexiconforge/sources/lookups.py``)."""

from __future__ import annotations

import shutil
import sys
import tempfile
from importlib.metadata import version as version_of
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class CustomBuildHook(BuildHookInterface):
    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if self.target_name != "wheel" or version == "editable":
            return
        sys.path.insert(0, self.root)
        try:
            from lexiconforge.sources.lookups import PACKAGE, derive
        finally:
            sys.path.remove(self.root)
        self._folder = Path(tempfile.mkdtemp())
        for path in derive(self._folder, version_of(PACKAGE)):
            build_data["force_include"][str(path)] = f"lexiconforge/sources/derived/{path.name}"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        if hasattr(self, "_folder"):
            shutil.rmtree(self._folder, ignore_errors=True)
