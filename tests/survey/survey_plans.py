"""Plan every design of the icon package and report how many were planned, refused, and why.

Run it by hand: ``python tests/survey/survey_plans.py PATH/icons.json [--every N]``. The file is
that of the npm package named in tests/art/README.md; it is too large to keep here. Nothing may
crash: an error that is not one plain sentence ends the survey with the design's name.
"""

from __future__ import annotations

import argparse
import collections
import json
import re
import statistics
import time
from pathlib import Path

from advisor import plan
from advisor.artwork.reader import ArtworkError
from advisor.job.records.job import Job
from rules.errors import BadInputError
from rules.knowledge import load_knowledge

from survey_artwork import as_svg  # isort: skip

JOB = Job.model_validate(
    {
        "job": "survey",
        "artwork": "design.svg",
        "looks": {"default": {"finish": "matte"}},
        "garments": [{"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}],
        "flatten": True,
    }
)


def main() -> None:
    """Plan all designs and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("icons", type=Path, help="the package's icons.json")
    parser.add_argument("--every", type=int, default=1, help="plan every Nth design only")
    parser.add_argument("--seconds", type=float, default=20.0, help="longest for one proof")
    options = parser.parse_args()
    package = json.loads(options.icons.read_text(encoding="utf-8"))
    names = sorted(package["icons"])[:: options.every]
    known = load_knowledge()
    outcomes: collections.Counter[str] = collections.Counter()
    verdicts: collections.Counter[str] = collections.Counter()
    samples: collections.Counter[str] = collections.Counter()
    refused: collections.Counter[str] = collections.Counter()
    seconds: list[tuple[float, str]] = []
    for name in names:
        svg = as_svg(package["icons"][name], package).encode()
        begin = time.perf_counter()
        try:
            made = plan(JOB, svg=svg, knowledge=known, time_limit_s=options.seconds)
        except (ArtworkError, BadInputError) as error:
            outcomes["refused"] += 1
            refused[re.sub(r"[\d.]+", "N", error.reason)[:100]] += 1
            continue
        except Exception:
            print(f"crashed on {name}")
            raise
        seconds.append((time.perf_counter() - begin, name))
        proof = "proven" if made.proof.optimal else "not proven in time"
        outcomes[f"{made.status}, {proof}"] += 1
        verdicts[made.verdict] += 1
        samples.update({f.rule for f in made.findings if f.severity == "sample"})
    print(f"designs: {len(names)}")
    for what, number in outcomes.most_common():
        print(f"  {number} {what}")
    print("verdicts:", ", ".join(f"{number} {what}" for what, number in verdicts.most_common()))
    print("samples asked for by:", ", ".join(f"{rule} {n}" for rule, n in samples.most_common(8)))
    for reason, number in refused.most_common(8):
        print(f"  refused {number} × {reason}")
    took = [second for second, _ in seconds]
    slowest = sorted(took)[int(0.95 * len(took))]
    print(f"median {statistics.median(took):.2f} s, 95 % under {slowest:.2f} s")
    for second, name in sorted(seconds, reverse=True)[:5]:
        print(f"  {second:.1f} s  {name}")


if __name__ == "__main__":
    main()
