"""The command's entry: its commands, and how errors and interruptions end it."""

from __future__ import annotations

import atexit
import gc
from typing import Any

import click

from acoustics.cli.box import box
from acoustics.cli.check import check
from acoustics.cli.compare import compare
from acoustics.cli.crossover import crossover
from acoustics.cli.drivers import drivers
from acoustics.cli.ended import EndedError, tidy_when_ended
from acoustics.cli.map import map_
from acoustics.cli.measure import measure
from acoustics.cli.output import overlook_missing_signs
from acoustics.cli.page import page
from acoustics.cli.place import place
from acoustics.cli.predict import predict
from acoustics.cli.report import report
from acoustics.cli.structure import structure
from acoustics.cli.sweep import sweep
from acoustics.cli.tolerance import tolerance
from acoustics.cli.verify import verify
from acoustics.conventions import RoundoverError

FAULT, INTERRUPTED, ENDED = 2, 130, 128
"""Exit codes; 130 is what shells give for an interruption (128 + SIGINT), and 128 and the number
of the signal for other ends."""


class Commands(click.Group):
    """Commands whose errors are messages for people, not tracebacks."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the work, not of the alphabet."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; what a person can put right goes to standard error."""
        try:
            return super().invoke(ctx)
        except RoundoverError as error:
            click.echo(f"{error}", err=True)
            ctx.exit(FAULT)
        except BrokenPipeError:
            raise  # the reader of a pipe has gone; click ends quietly
        except OSError as error:
            place = f"{error.filename}: " if error.filename else ""
            click.echo(f"{place}cannot read or write: {error.strerror or error}", err=True)
            ctx.exit(FAULT)
        except EndedError as ended:
            ctx.exit(ENDED + ended.number)
        except KeyboardInterrupt:
            ctx.exit(INTERRUPTED)


RARELY = (500_000, 20, 20)
"""Objects made between passes of the garbage collector over the young, middle and old ones."""


def run() -> None:
    """Run the command as a process of its own, with the garbage collector in the background.

    Loading libraries and drawing make many objects that live on. With Python's own setting the
    collector looks at all of them again and again, and once more at the end, when what is left goes
    with the process: together a quarter of a short command's time.
    """
    gc.set_threshold(*RARELY)
    atexit.register(gc.freeze)
    overlook_missing_signs()
    tidy_when_ended()
    main()


def _print_version(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked and not ctx.resilient_parsing:
        from acoustics.prediction import package_version

        click.echo(f"roundover {package_version()}")
        ctx.exit()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_print_version,
    help="Print the version and exit.",
)
def main() -> None:
    """Predict what a loudspeaker layout does, before wood is cut.

    CASE is a case file (TOML) or a folder that holds case.toml.
    """


main.add_command(check)
main.add_command(predict)
main.add_command(compare)
main.add_command(map_)
main.add_command(place)
main.add_command(sweep)
main.add_command(tolerance)
main.add_command(drivers)
main.add_command(box)
main.add_command(structure)
main.add_command(crossover)
main.add_command(measure)
main.add_command(verify)
main.add_command(report)
main.add_command(page)
