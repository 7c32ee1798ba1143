"""The tests. They mirror advisor, rules and ui, and share what stands in modules beside them."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
CASE_FOLDER = ROOT / "tests" / "cases"
ART = ROOT / "tests" / "art" / "fluent"
DRAWINGS = sorted(ART.glob("*.svg"))
"""Designs that nobody here drew; tests/art/README.md says where they come from."""
