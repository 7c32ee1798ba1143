"""Plans before and after a change: write them with each version of the program, then compare.

Run it by hand, in a folder that holds one version or the other::

    PYTHONPATH=. python -P tests/survey/survey_same_plans.py write plans.jsonl [--seconds 10]
    python tests/survey/survey_same_plans.py compare before.jsonl after.jsonl

The jobs are the demo's, one for each vendored drawing and a hundred random ones. Nothing of the
program is used but ``advisor.plan`` with the path of a job file, so that two versions that share
nothing else can be put side by side; what a plan says of itself is read from its JSON.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import re
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

TESTS = Path(__file__).resolve().parents[1]
RANDOM_JOBS = 100
SEED = 20_261
GARMENTS = {
    "adult-tee": 240, "child-tee": 150, "fitted-tee": 180, "adult-hoodie": 240, "zip-hoodie": 80,
    "wind-jacket": 80, "child-wind-jacket": 60, "rain-jacket": 80, "drawstring-bag": 180,
    "polo": 80, "sports-polo": 80, "canvas-tote": 200, "shopping-bag": 150, "sports-jersey": 200,
    "apron": 180, "felt-pennant": 150,
}  # fmt: skip
"""Garments of the random jobs, with a width that their usual print area takes, mm."""
EVERYDAY = ("adult-tee", "child-tee", "adult-hoodie", "canvas-tote", "apron")
"""Garments that take most films: seven in ten, so that most jobs have a plan."""

FINISHES = (
    "matte", "matte", "matte", "gloss", "satin", "sparkle", "plush", "metallic", "raised",
    "holographic", "reflective", "glow",
)  # fmt: skip
"""Finishes of the random jobs, the everyday one more often."""
FILLS = ("#1b3a5c", "#f2c14e", "#ffffff", "#c0392b", "#2e8b57", "#222222")
PREFERENCES = ("durable", "durable", "softest", "fastest", "cheapest")
WEAKNESS = {"lap": 0, "inset-over": 1, "inset-under": 1, "butt": 2}


def demo_jobs() -> Iterator[tuple[str, Path]]:
    """The demo's own job files, wherever this version keeps them."""
    import advisor

    root = Path(advisor.__file__).parent
    for path in sorted(root.rglob("demo/*.yaml")):
        yield f"demo/{path.stem}", path


def drawing_jobs(folder: Path) -> Iterator[tuple[str, Path]]:
    """Each vendored drawing in matte, its first fill in another finish by the drawing's turn."""
    turns = ("sparkle", "gloss", "metallic", "plush")
    for at, drawing in enumerate(sorted((TESTS / "art" / "fluent").glob("*.svg"))):
        svg = drawing.read_text(encoding="utf-8")
        looks = {"default": {"finish": "matte"}}
        for fill in re.findall(r'fill="(#[0-9a-fA-F]{6})"', svg)[:1]:
            looks[fill.lower()] = {"finish": turns[at % len(turns)]}
        yield (
            f"art/{drawing.stem}",
            written(
                folder / drawing.stem,
                svg,
                {
                    "looks": looks,
                    "garments": [{"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}],
                    "flatten": True,
                },
            ),
        )


def random_jobs(folder: Path) -> Iterator[tuple[str, Path]]:
    """Two to six shapes over one another, in random looks, on one or two garments."""
    drawn = random.Random(SEED)
    for number in range(RANDOM_JOBS):
        fills = drawn.sample(FILLS, drawn.randint(2, len(FILLS)))
        shapes = "".join(
            f'<rect x="{drawn.randint(0, 60)}" y="{drawn.randint(0, 60)}" '
            f'width="{drawn.randint(12, 40)}" height="{drawn.randint(12, 40)}" fill="{fill}"/>'
            if drawn.random() < 0.5
            else f'<circle cx="{drawn.randint(20, 80)}" cy="{drawn.randint(20, 80)}" '
            f'r="{drawn.randint(6, 20)}" fill="{fill}"/>'
            for fill in fills
        )
        garments = [
            drawn.choice(EVERYDAY if drawn.random() < 0.7 else sorted(GARMENTS))
            for _ in range(drawn.choice((1, 1, 2)))
        ]
        job: dict[str, Any] = {
            "looks": {fill: {"finish": drawn.choice(FINISHES)} for fill in fills},
            "garments": [
                {
                    "garment": garment,
                    "quantity": drawn.choice((1, 5, 25, 100)),
                    "artwork_width_mm": GARMENTS[garment],
                }
                for garment in dict.fromkeys(garments)
            ],
            "prefer": drawn.choice(PREFERENCES),
            "samples_allowed": drawn.random() < 0.85,
            "press": drawn.choice(("clamshell-38x38", "clamshell-38x38", "swing-arm-40x50")),
        }
        if drawn.random() < 0.2:
            job["registration_mm"] = 0.3
        svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
        yield f"random/{number}", written(folder / f"random-{number}", svg, job)


def written(folder: Path, svg: str, job: dict[str, Any]) -> Path:
    """The job file in a folder of its own, beside its artwork; JSON is YAML too."""
    folder.mkdir()
    (folder / "design.svg").write_text(svg, encoding="utf-8")
    path = folder / "job.yaml"
    path.write_text(json.dumps({"job": "survey", "artwork": "design.svg"} | job), encoding="utf-8")
    return path


def summary(name: str, made: dict[str, Any], took_s: float) -> dict[str, Any]:
    """What counts of a plan: its objective, verdict, samples, cost, time, films and ways."""
    pieces = sum(line["quantity"] for run in made["runs"] for line in run["garments"])
    return {
        "job": name,
        "status": made["status"],
        "verdict": made["verdict"],
        "optimal": made["proof"]["optimal"],
        "measures": made["proof"]["measures"],
        "objective": made["proof"]["objective"],
        "samples": sorted(
            [f["rule"], f["where"]] for f in made["findings"] if f["severity"] == "sample"
        ),
        "weak": sum(WEAKNESS[j["meets"]] for j in made["joints"] if not j["hidden"]),
        "cents": round(100 * made["cost"] / pieces) if pieces else None,
        "seconds": round(60 * made["minutes"] / pieces) if pieces else None,
        "films": {piece["id"]: [piece["film"], piece["colour"]] for piece in made["pieces"]},
        "ways": {f"{j['upper']} over {j['lower']}": j["meets"] for j in made["joints"]},
        "presses": sum(step["action"] == "press" for step in made["steps"]),
        "conflict": sorted([clash["rule"], clash["where"]] for clash in made["conflict"]),
        "repairs": len(made["repairs"]),
        "took_s": round(took_s, 3),
    }


def write(target: Path, seconds: float, only: str) -> None:
    """Plan every job whose name begins so, and write a line of JSON for each."""
    import advisor

    print(f"planning with {Path(advisor.__file__).parent}")
    with tempfile.TemporaryDirectory() as name, target.open("w", encoding="utf-8") as lines:
        folder = Path(name)
        jobs = (*demo_jobs(), *drawing_jobs(folder), *random_jobs(folder))
        for job, path in (one for one in jobs if one[0].startswith(only)):
            begin = time.perf_counter()
            try:
                made = advisor.plan(path, time_limit_s=seconds).model_dump(mode="json")
            except Exception as error:
                line = {"job": job, "status": "error", "error": f"{type(error).__name__}: {error}"}
                # A folder of this run must not stand in what two runs are compared by.
                line["error"] = line["error"].replace(name, "")
            else:
                line = summary(job, made, time.perf_counter() - begin)
            lines.write(json.dumps(line) + "\n")
            lines.flush()


def shown(line: dict[str, Any]) -> tuple[int, ...]:
    """The objective as the finished plan's own findings, cost and minutes say it."""
    own = dict(zip(line["measures"], line["objective"] or (), strict=False))
    own |= {name: line[name] for name in ("weak", "cents", "seconds")}
    own["samples"] = len(line["samples"])
    return tuple(own.get(name, 0) for name in line["measures"])


def compare(before: Path, after: Path) -> None:
    """Say how many plans are the same, as good, better or worse, and which are worse."""
    old, new = (
        {line["job"]: line for line in map(json.loads, path.read_text("utf-8").splitlines())}
        for path in (before, after)
    )
    if old.keys() != new.keys():
        print("planned on one side only:", *sorted(old.keys() ^ new.keys()))
    outcomes: dict[str, list[str]] = collections.defaultdict(list)
    for job in (job for job in old if job in new):
        outcomes[outcome(old[job], new[job])].append(job)
    for what, jobs in sorted(outcomes.items(), key=lambda item: -len(item[1])):
        print(f"{len(jobs):4d} {what}")
        if what != "the same plan" and not what.startswith(("as good", "impossible both")):
            for job in jobs:
                print(f"       {job}: {told(old[job])} -> {told(new[job])}")
    for side, lines in (("before", old), ("after", new)):
        took = sorted(line["took_s"] for line in lines.values() if "took_s" in line)
        optimal = sum(bool(line.get("optimal")) for line in lines.values())
        counted = sum(
            line["status"] == "planned" and line["objective"][0] != len(line["samples"])
            for line in lines.values()
        )
        print(
            f"{side}: {optimal} proved; {counted} with other samples than their objective says; "
            f"{sum(took):.1f} s in all, median {took[len(took) // 2]:.2f} s, longest "
            f"{took[-1]:.1f} s"
        )


def outcome(old: dict[str, Any], new: dict[str, Any]) -> str:
    """The same, as good, better or worse: by what the finished plan shows."""
    if old["status"] != new["status"]:
        return f"was {old['status']}, is {new['status']}"
    if old["status"] != "planned":
        alike = all(old.get(part) == new.get(part) for part in ("conflict", "error"))
        return f"{old['status']} both times, " + ("for one reason" if alike else "told otherwise")
    same = all(old[part] == new[part] for part in ("films", "ways", "samples", "presses"))
    if shown(new) == shown(old):
        return "the same plan" if same else "as good, by other films or ways"
    if same:
        return "the same films, ways, presses and samples, timed or costed otherwise"
    return "better" if shown(new) < shown(old) else "worse"


def told(line: dict[str, Any]) -> str:
    """One plan on one line."""
    if line["status"] == "error":
        return str(line["error"])
    if line["status"] != "planned":
        return f"{line['status']} {line['conflict']}"
    return f"{shown(line)} (says {tuple(line['objective'])}{'' if line['optimal'] else ', open'})"


def main() -> None:
    """Write plans, or compare two files of them."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked = parser.add_subparsers(dest="asked", required=True)
    writing = asked.add_parser("write", help="plan every job with the version on the path")
    writing.add_argument("target", type=Path)
    writing.add_argument("--seconds", type=float, default=10.0, help="longest for one proof")
    writing.add_argument("--only", default="", help="only jobs whose name begins so, art/ say")
    comparing = asked.add_parser("compare", help="put two written files side by side")
    comparing.add_argument("before", type=Path)
    comparing.add_argument("after", type=Path)
    options = parser.parse_args()
    if options.asked == "write":
        write(options.target, options.seconds, options.only)
    else:
        compare(options.before, options.after)


if __name__ == "__main__":
    main()
