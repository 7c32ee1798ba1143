"""Read every design of the icon package and report what was read, what was refused and how fast.

Run it by hand: ``python tests/survey/survey_artwork.py PATH/icons.json [--flatten]``. The file is
that of the npm package named in tests/art/README.md; it is too large to keep here.
"""

from __future__ import annotations

import argparse
import collections
import json
import time
from pathlib import Path
from typing import Any

from advisor.artwork.overlay import artwork_places, overlaps
from advisor.artwork.reader import ArtworkError, read_artwork


def as_svg(icon: dict[str, Any], package: dict[str, Any]) -> str:
    """Set a design's body in an ``<svg>`` of its size."""
    size = [icon.get(side, package.get(side, 16)) for side in ("width", "height")]
    corner = [icon.get(side, 0) for side in ("left", "top")]
    box = " ".join(str(value) for value in (*corner, *size))
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">{icon["body"]}</svg>'


def main() -> None:
    """Survey all designs and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("icons", type=Path, help="the package's icons.json")
    parser.add_argument("--flatten", action="store_true", help="take gradients' mean colours")
    parser.add_argument("--width-mm", type=float, default=200.0)
    options = parser.parse_args()
    package = json.loads(options.icons.read_text(encoding="utf-8"))
    refused: collections.Counter[str] = collections.Counter()
    pieces: collections.Counter[int] = collections.Counter()
    depths: collections.Counter[int] = collections.Counter()
    seconds: list[tuple[float, str]] = []
    for name, icon in sorted(package["icons"].items()):
        source = as_svg(icon, package)
        begin = time.process_time()
        try:
            artwork = read_artwork(
                source, width_mm=options.width_mm, flatten=options.flatten, name=name
            )
            overlaps(artwork)
            seconds.append((time.process_time() - begin, name))
            pieces[len(artwork.pieces)] += 1
            depths[len(artwork_places(artwork)[0].stack)] += 1
        except ArtworkError as error:
            refused[error.reason.split(" (")[0].split(";")[0]] += 1
    total = sum(took for took, _ in seconds)
    print(f"designs: {len(package['icons'])}, read: {len(seconds)}, refused: {refused.total()}")
    for reason, number in refused.most_common():
        print(f"  {number} × {reason}")
    print(f"pieces: 1 to {max(pieces)}, most often {pieces.most_common(1)[0][0]}")
    print(f"deepest stack: 1 to {max(depths)} pieces, most often {depths.most_common(1)[0][0]}")
    print(
        f"reading with overlaps: {total:.1f} s of processor time, "
        f"{1000 * total / len(seconds):.1f} ms a design"
    )
    for took, name in sorted(seconds, reverse=True)[:5]:
        print(f"  {1000 * took:.0f} ms  {name}")


if __name__ == "__main__":
    main()
