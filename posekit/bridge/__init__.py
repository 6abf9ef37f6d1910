"""The one door for the browser: a method's name and JSON in, JSON and flat arrays out."""

from __future__ import annotations

from posekit.bridge.dispatch import Dispatcher

__all__ = ["Dispatcher"]
