"""Commands. Each is imported only when it is called, so that a sum on the bench answers at once."""

from __future__ import annotations

import gc
import importlib
import os
import sys

import click

from slipwright import __version__

#: command: where it stands
COMMANDS = {
    "advise": "slipwright.cli.advise:advise",
    "backup": "slipwright.cli.keeping:backup",
    "batches": "slipwright.cli.record:batches",
    "calendar": "slipwright.cli.papers:calendar",
    "craft": "slipwright.cli.craft:craft",
    "demo": "slipwright.cli.demo:demo",
    "dump": "slipwright.cli.tables:dump",
    "forecast": "slipwright.cli.forecast:forecast",
    "how-to": "slipwright.cli.teaching:how_to",
    "labels": "slipwright.cli.papers:labels",
    "learn": "slipwright.cli.learn:learn",
    "let-in": "slipwright.cli.let_in:let_in",
    "load": "slipwright.cli.tables:load",
    "look": "slipwright.cli.record:look",
    "migrate": "slipwright.cli.keeping:migrate",
    "plan": "slipwright.cli.plan:plan",
    "pot-up": "slipwright.cli.record:pot_up",
    "restore": "slipwright.cli.keeping:restore",
    "season-report": "slipwright.cli.teaching:season_report",
    "selfcheck": "slipwright.cli.keeping:selfcheck",
    "serve": "slipwright.cli.serve:serve",
    "sheet": "slipwright.cli.papers:sheet",
    "stick": "slipwright.cli.record:stick",
    "today": "slipwright.cli.today:today",
    "trial": "slipwright.cli.trial:trial",
    "weather": "slipwright.cli.weather:weather",
    "windows": "slipwright.cli.windows:windows",
    "withdraw": "slipwright.cli.record:withdraw",
    "work": "slipwright.cli.serve:work",
    "year-sheet": "slipwright.cli.teaching:year_sheet",
}

SHORT_HELP = {
    "advise": "May I cut this plant today, which wood, how many, how?",
    "backup": "Write a verified copy of the garden.",
    "batches": "Where every batch stands.",
    "calendar": "Write the days to look, pot up and cut as a calendar.",
    "craft": "Sums of the trade.",
    "demo": "Make a demonstration garden to look around in.",
    "dump": "Write a garden's tables.",
    "forecast": "What a batch, stuck or not yet, will likely do.",
    "how-to": "Print two pages for apprentices: how cuttings are made.",
    "labels": "Print labels for batches.",
    "learn": "What all looks of the garden taught.",
    "let-in": "Print a link that signs a member in once.",
    "load": "Read a garden's tables: all or nothing.",
    "look": "Write down a look at a batch.",
    "migrate": "Bring an older garden file up to date, after a backup.",
    "plan": "What to stick in which week to meet every want.",
    "pot-up": "Write down rooted cuttings potted up.",
    "restore": "Put a backup in the garden's place; the old file is kept.",
    "season-report": "How a season went, in words and as a PDF.",
    "selfcheck": "Check the database, every entry and every total.",
    "serve": "Serve the pages on this machine.",
    "sheet": "Print the sheet to take to the bench.",
    "stick": "Write down a batch that was stuck.",
    "today": "Today's round, in walking order.",
    "trial": "What a trial taught; and how to lay out the next.",
    "weather": "Take in daily weather, from a file or a service.",
    "windows": "When the wood of every stock plant is right.",
    "withdraw": "Take back an entry.",
    "work": "Keep what the pages show fresh; serve runs it.",
    "year-sheet": "Print the year for the wall: when each wood is right.",
}


class LateCommands(click.Group):
    """A group whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return the command of that name."""
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name].partition(":")
        command: click.Command = getattr(importlib.import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, SHORT_HELP[name]) for name in self.list_commands(ctx)])


@click.group(cls=LateCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="slipwright")
def main() -> None:
    """Slipwright: for people who multiply plants from cuttings.

    Each command explains itself with an example: slipwright advise --help
    """
    # a command is short: looking for garbage while it imports costs about a sixth of its time
    gc.set_threshold(100_000, 50, 50)
    # its arrays are small: threads of the linear algebra would only spin beside it
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


if __name__ == "__main__":
    sys.exit(main())
