"""Command job: the job file's schema, a check of one, and the demo jobs to start from."""

from __future__ import annotations

from pathlib import Path

import click
from pydantic import TypeAdapter

from advisor.command import options
from advisor.command.prints_checked import check_prints
from advisor.command.terminal import Terminal
from advisor.job.demo import DEMO_FOLDER, DEMO_JOBS
from advisor.job.records.job import Job, has_prints, job_document, read_job
from advisor.job.records.order import Order
from rules.errors import BadInputError

__all__ = ["command"]


@click.group("job")
def command() -> None:
    """Write, check and try out job files."""


@command.command("schema")
@click.option("--json", is_flag=True, expose_value=False, help="The schema is JSON in any case.")
def schema() -> None:
    """Print the JSON Schema of a job file, for editors and other programs."""
    options.show_json(TypeAdapter(Job | Order).json_schema())


@command.command("check")
@options.file_argument("job_file", metavar="JOB.yaml")
@options.as_json
@options.shop
def check(job_file: Path, as_json: bool) -> None:
    """Read a job and its artwork without planning it; list the films that each fill could be."""
    # Only here, since neither the schema nor the demo needs what reads an artwork.
    from advisor.answers.prepared_job import prepared_job

    if has_prints(job_document(job_file)):
        check_prints(job_file, as_json=as_json)
        return
    knowledge = options.shop_knowledge()
    job = read_job(job_file, knowledge.catalogue)
    with options.naming(job_file):
        prepared = prepared_job(job, folder=job_file.parent, knowledge=knowledge)
    problem, artwork = prepared.problem, prepared.artwork
    films = {
        piece.id: list(dict.fromkeys(option.film.id for option in piece.options))
        for piece in problem.pieces
    }
    notes = list(artwork.notes)
    garments = sum(line.quantity for line in job.garments)
    if as_json:
        pieces = [
            {"id": piece.id, "fill": piece.fill, "films": films[piece.id]}
            for piece in problem.pieces
        ]
        options.show_json(
            {
                "job": job.job,
                "artwork": artwork.name,
                "pieces": pieces,
                "garments": garments,
                "notes": notes,
            }
        )
        return
    out = Terminal()
    out.line(
        f"{job_file} can be read: {artwork.name} in {len(films)} pieces on {garments} garments"
    )
    for piece in problem.pieces:
        could = films[piece.id]
        out.lines([f"{piece.fill}: {len(could)} films could be it ({', '.join(could)})"], indent=2)
    out.lines((f"note: {note}" for note in notes), indent=2)


@command.command("demo")
@options.file(
    "--out",
    default=Path("harbour-kite"),
    show_default=True,
    metavar="DIR",
    help="Where to put them.",
)
@click.option("--overwrite", is_flag=True, help="Put them over files of the same names.")
@options.as_json
def demo(out: Path, overwrite: bool, as_json: bool) -> None:
    """Copy the jobs and the artwork of the Harbour Kite Festival, to plan and to change."""
    sources = sorted(
        path for path in DEMO_FOLDER.iterdir() if path.suffix in {".yaml", ".svg", ".csv"}
    )
    if out.exists() and not out.is_dir():
        raise BadInputError("is no folder", source=f"--out {out}")
    there = [path.name for path in sources if (out / path.name).exists()]
    if there and not overwrite:
        raise BadInputError(
            f"has {there[0]} already; name another folder or add --overwrite", source=str(out)
        )
    out.mkdir(parents=True, exist_ok=True)
    for source in sources:
        options.save_file(out / source.name, source.read_bytes())
    if as_json:
        options.show_json({"folder": str(out), "files": [source.name for source in sources]})
        return
    click.echo(f"copied {len(sources)} files to {out}; now try:")
    click.echo(f"  presslore plan {out / DEMO_JOBS[0]}.yaml")
