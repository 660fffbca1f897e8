"""The commands: read what was typed, call one public function, print.

Only the standard library and typer are imported at the top, and each command imports what it
needs in its body, so that help and messages come at once.
"""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from bom import VERSION

DEFECT = (
    "This is a defect of kitbill, not of your input. Please report it with the lines above."
)

app = typer.Typer(
    name="kitbill",
    help="Find the cheapest kit of parts for a small off-grid DC power system, and prove it.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
)
parts = typer.Typer(
    name="parts",
    help="Look into a catalog of parts, fill it from files and write it out.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
app.add_typer(parts)

Needs = Annotated[
    Path, typer.Argument(metavar="NEEDS", help="The needs file (.toml or .xlsx).")
]
Catalog = Annotated[
    str | None,
    typer.Option(
        "--catalog",
        metavar="DB",
        envvar="KITBILL_CATALOG",
        help="Catalog: an SQLite file or an SQLAlchemy URL. Without it, the shipped one.",
    ),
]
LimitEach = Annotated[
    float | None,
    typer.Option(
        "--limit-s",
        metavar="SECONDS",
        min=1,
        help="Stop each search after so long (50 without it), as in kitbill pick.",
    ),
]


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"kitbill {VERSION}")
        raise typer.Exit


@app.callback()
def _kitbill(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Print the version and stop."
        ),
    ] = False,
) -> None:
    pass


@app.command()
def start(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="File to write (.toml or .xlsx).")
    ],
    force: Annotated[
        bool, typer.Option("--force", help="Overwrite a file that is already there.")
    ] = False,
) -> None:
    """Write a commented needs file to fill in."""
    from bom.start import write_template

    write_template(file, force)
    typer.echo(f"{file} is written. Fill it in, then: kitbill pick {file}")


@app.command()
def pick(
    needs: Needs,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.xlsx", help="Write the purchase workbook here."),
    ] = None,
    json: Annotated[
        Path | None,
        typer.Option("--json", metavar="FILE.json", help="Write the whole answer here."),
    ] = None,
    drawings: Annotated[
        Path | None,
        typer.Option("--drawings", metavar="FOLDER", help="Write the drawings here."),
    ] = None,
    catalog: Catalog = None,
    limit_s: Annotated[
        float | None,
        typer.Option(
            "--limit-s",
            metavar="SECONDS",
            min=1,
            help="Stop after so long (50 without it) with the best kit found, and say how far "
            "it may be off; without a kit a minute later. Ctrl-C does the same at once.",
        ),
    ] = None,
    trace: Annotated[
        Path | None,
        typer.Option("--trace", metavar="FILE", help="Write the steps of the proof here."),
    ] = None,
    second_opinion: Annotated[
        bool,
        typer.Option("--second-opinion", help="Put the final programme to a second solver."),
    ] = False,
    tasks: Annotated[
        Path | None,
        typer.Option("--tasks", metavar="FILE.toml", help="Tasks of the work order, yours."),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option(
            "--since", metavar="RESULT.json", help="Say what changed since this earlier result."
        ),
    ] = None,
    without_need_by: Annotated[
        bool,
        typer.Option(
            "--without-need-by",
            help="Also solve as if need_by were not stated: the cost, and what would be late.",
        ),
    ] = False,
    opinion_s: Annotated[
        float,
        typer.Option(
            "--opinion-s",
            metavar="SECONDS",
            min=1,
            help="Most seconds for each solver in a second opinion.",
        ),
    ] = 300,
    owned: Annotated[
        bool,
        typer.Option(
            "--owned",
            help="Say what each owned part saves, and what using an unused one would cost: "
            "one search more for each.",
        ),
    ] = False,
) -> None:
    """Find the cheapest kit that meets the needs.

    The exit code is 1 where there is none, with the reasons; kitbill why goes into them.
    """
    from bom.job import Wanted
    from bom.job import pick as pick_kit

    asked = opinion_s if second_opinion else None
    wanted = Wanted(
        out, json, drawings, trace, limit_s, asked, tasks, since, without_need_by, owned
    )
    answer = pick_kit(needs, catalog, wanted, _progress)
    typer.echo(answer.text)
    raise typer.Exit(answer.exit_code)


@app.command()
def vary(
    needs: Needs,
    sets: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="KEY=V1,V2,...",
            help="Values that a key takes: energy.autonomy_days=1,2,3 or a range, "
            "'energy.autonomy_days=1..3 step 0.5'. May be repeated: every combination is solved.",
        ),
    ] = None,
    alternatives: Annotated[
        Path | None,
        typer.Option(
            "--alternatives",
            metavar="FILE.toml",
            help="Named alternatives: a table for each, its keys as after --set.",
        ),
    ] = None,
    frontier: Annotated[
        str | None,
        typer.Option(
            "--frontier",
            metavar="KEY=FROM..TO",
            help="Every step of the cost along one need: 'energy.autonomy_days=0.5..3 step 0.01'.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.xlsx", help="Write the tables and charts here."),
    ] = None,
    json: Annotated[
        Path | None,
        typer.Option("--json", metavar="FILE.json", help="Write every cell here."),
    ] = None,
    catalog: Catalog = None,
    limit_s: LimitEach = None,
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers", metavar="N", min=1, help="Cells side by side; without it, one a core."
        ),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(
            "--scheduler",
            metavar="local|ADDRESS",
            help="Let Dask solve the cells: local, or a scheduler's address, tcp://host:8786.",
        ),
    ] = None,
) -> None:
    """Solve the same needs with other values, and compare.

    Each combination of values is solved as kitbill pick would. Stopped by Ctrl-C, the same
    command goes on where it was, if --json or --out names a file.
    """
    from bom.vary import Wanted
    from bom.vary import vary as vary_needs

    wanted = Wanted(sets or (), alternatives, frontier, out, json, limit_s, workers, scheduler)
    answer = vary_needs(needs, catalog, wanted, _shown, _progress)
    typer.echo(answer.text)
    raise typer.Exit(answer.exit_code)


@app.command()
def swap(
    needs: Needs,
    part: Annotated[
        list[str] | None,
        typer.Option(
            "--part",
            metavar="PART[=N]",
            help="A part of the catalog, or the name of one under [[owned]], that must be used; "
            "it counts as owned. Of cable N is metres, in one piece. May be repeated.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE.xlsx", help="Write totals, changes and bills here."
        ),
    ] = None,
    json: Annotated[
        Path | None,
        typer.Option("--json", metavar="FILE.json", help="Write both whole answers here."),
    ] = None,
    catalog: Catalog = None,
    limit_s: LimitEach = None,
) -> None:
    """Force parts that you have into the kit: what that saves.

    Shows the bill without them and with them, and every part that changes. Parts of the catalog
    need not stand in the needs file: they count as yours here, free of charge. Where no kit can
    hold them the exit code is 1, and the rule that stands against it is told.
    """
    from bom.swap import Wanted
    from bom.swap import swap as swap_parts

    answer = swap_parts(needs, catalog, Wanted(part or (), out, json, limit_s), _progress)
    typer.echo(answer.text)
    raise typer.Exit(answer.exit_code)


@app.command()
def why(
    needs: Needs,
    need: Annotated[
        list[str] | None,
        typer.Option(
            "--need",
            metavar="KEY",
            help="Where there is a kit, ask about this need alone, written as after --set of "
            "kitbill vary. May be repeated; without it, about all.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.xlsx", help="Write the same as tables here."),
    ] = None,
    json: Annotated[
        Path | None,
        typer.Option("--json", metavar="FILE.json", help="Write all of it here."),
    ] = None,
    catalog: Catalog = None,
    limit_s: LimitEach = None,
    within_s: Annotated[
        float | None,
        typer.Option(
            "--within-s",
            metavar="SECONDS",
            min=1,
            help="Begin no search after so long (600 without it), and tell what is known by "
            "then and what is not.",
        ),
    ] = None,
) -> None:
    """Say why there is no kit, or what each need of one costs.

    Where there is no kit: the fewest needs that leave none between them, and for each the least
    change that alone gives an answer. Where there is one: what easing each need by a useful step
    saves, and what tightening it costs, each by a search of its own. Ctrl-C tells what is known.
    """
    from bom.why import Wanted
    from bom.why import why as explain_needs

    answer = explain_needs(
        needs, catalog, Wanted(json, out, limit_s, within_s, need or ()), _progress
    )
    typer.echo(answer.text)
    raise typer.Exit(answer.exit_code)


@parts.command()
def load(
    paths: Annotated[
        list[Path],
        typer.Argument(metavar="PATH...", help="CSV files, folders of them, or workbooks."),
    ],
    catalog: Catalog = None,
) -> None:
    """Add or update parts, suppliers and offers; all of it, or nothing if there is a fault."""
    from bom.parts import load_parts

    typer.echo(load_parts(paths, catalog, _progress))


@parts.command()
def dump(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder to write into.")],
    catalog: Catalog = None,
) -> None:
    """Write the catalog as CSV files, which `kitbill parts load` reads again."""
    from bom.parts import dump_parts

    typer.echo(dump_parts(folder, catalog))


@parts.command("list")
def list_(
    cls: Annotated[
        str | None, typer.Option("--class", metavar="CLASS", help="Only parts of this class.")
    ] = None,
    where: Annotated[
        list[str] | None,
        typer.Option(
            "--where",
            metavar="COMPARISON",
            help="Only parts for which it holds: 'stc_w>=200', 'stud=M8'. May be repeated.",
        ),
    ] = None,
    catalog: Catalog = None,
) -> None:
    """List the parts of the catalog, a line each."""
    from bom.parts import list_parts, terminal_width

    typer.echo(list_parts(catalog, cls, where or (), terminal_width()))


@parts.command()
def show(
    part: Annotated[str, typer.Argument(metavar="PART", help="Name of the part.")],
    catalog: Catalog = None,
) -> None:
    """Show all the catalog says about one part, and who sells it at what price."""
    from bom.parts import show_part, terminal_width

    typer.echo(show_part(part, catalog, terminal_width()))


def _shown(text: str) -> None:
    typer.echo(text)


def _progress(text: str) -> None:
    typer.echo(text, err=True)


NEW_OBJECTS = 100_000
"""So many new objects before Python looks for unreachable cycles among them: programmes are made of
hundreds of thousands of small ones that all live on, and looking takes longer than making them."""


def main() -> NoReturn:
    """Run the command line; the exit codes are 0 done, 1 no kit, 2 bad input, 130 stopped."""
    from solver.errors import KitbillError

    gc.set_threshold(NEW_OBJECTS)
    for stream in filter(None, (sys.stdout, sys.stderr)):
        stream.reconfigure(errors="backslashreplace")
    try:
        app(prog_name="kitbill")
    except KitbillError as wrong:
        typer.echo(str(wrong), err=True)
        sys.exit(2)
    except OSError as wrong:
        where = f"{wrong.filename}: " if wrong.filename else ""
        typer.echo(f"{where}{wrong.strerror or wrong}", err=True)
        sys.exit(2)
    except Exception:
        import traceback

        traceback.print_exc()
        typer.echo(DEFECT, err=True)
        sys.exit(1)
    sys.exit(0)
