"""`roundover page`: a page on which a design is changed and heard at once."""

from __future__ import annotations

from functools import partial

import click

HIGHEST_PORT = 65_535

COMPILING = (
    "The solver is being compiled, once on this machine: first curves take half a minute longer."
)


@click.command(short_help="Open a page on which a design is changed and heard at once.")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--port",
    type=click.IntRange(0, HIGHEST_PORT),
    default=0,
    metavar="N",
    help="Port on which the page is served.  [default: any that is free]",
)
@click.option("--no-browser", is_flag=True, help="Open no browser; only print the address.")
def page(case: str, port: int, no_browser: bool) -> None:
    """Open a page on which drivers are dragged across the baffle and the curves follow.

    The page is served to this machine alone, and to whoever has the address that is printed. It
    changes the case file when you save there, and nothing else. Ctrl-C ends it.
    """
    from acoustics.page.serve import serve
    from acoustics.page.studio import Studio, is_compiled
    from acoustics.studies.live.engine import Engine

    def started(address: str, once: str) -> None:
        click.echo(f"The page: {address}\nCtrl-C ends it.")
        if not is_compiled():
            click.echo(COMPILING, err=True)
        if not no_browser:
            _open(once)

    serve(case, port, started, partial(click.echo, err=True), Studio(Engine))


def _open(address: str) -> None:
    """Open a browser beside the server, which may take its time."""
    import webbrowser
    from threading import Thread

    def open_it() -> None:
        if not webbrowser.open(address):
            click.echo("No browser could be opened; open the address in one yourself.", err=True)

    Thread(target=open_it, daemon=True).start()
