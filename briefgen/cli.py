"""The command line: finds the command that is meant, runs it, and ends with its exit code. No work is done
here."""

from __future__ import annotations

import difflib
import gc
import importlib
import os
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from briefgen import __version__
from briefgen.console import OutputFailed, complain, drop_output, prepare_console, say

EXIT_USAGE = 2
EXIT_STOPPED = 130  # 128 + SIGINT, as shells count
EXIT_OUTPUT = 74  # EX_IOERR of sysexits.h
# What Ctrl-C leaves behind, by command; approve says it itself, the others write nothing.
STOPPED = {
    "build": "products not told as written above are as they were",
    "debrief": "the products are as they were",
}

# name → module that holds its click command, in the order of --help
COMMANDS = {
    "check": "briefgen.commands.check",
    "build": "briefgen.commands.build",
    "retime": "briefgen.commands.retime",
    "whatif": "briefgen.commands.whatif",
    "compare": "briefgen.commands.compare",
    "approve": "briefgen.commands.approve",
    "verify": "briefgen.commands.verify",
    "debrief": "briefgen.commands.debrief",
    "new": "briefgen.commands.new",
    "schema": "briefgen.commands.schema",
}


class LazyGroup(click.Group):
    """Loads a command's module only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        module = COMMANDS.get(cmd_name)
        return importlib.import_module(module).command if module else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, but an unknown name is answered with the nearest known one."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            near = difflib.get_close_matches(name, COMMANDS, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]!r}?" if near else f"the commands are {', '.join(COMMANDS)}"
            raise click.UsageError(f"there is no command {name!r}; {hint}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="briefgen", message="%(prog)s %(version)s")
def group() -> None:
    """Plan, check and brief a training sortie with a timed flypast: one mission file in, slides and kneeboard
    cards out.

    Planning aid only; the approving authority decides.

    \b
    Exit codes: 0 fine (CAUTION, NOT CHECKED and WAIVED included), 1 a gate FAILs,
    2 the mission file or the command is wrong, 3 a product could not be made,
    74 the output is closed or full.
    """


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run a command line and exit with its code."""
    # a command is short and keeps nearly all that it makes: looking for unreachable cycles meanwhile is a
    # twentieth of its time
    gc.disable()
    # numpy comes with the map of time zones; its other threads would do nothing but turn in circles
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    prepare_console()
    code = run(list(sys.argv[1:] if arguments is None else arguments))
    gc.freeze()  # nor at the end: what is left goes with the process
    sys.exit(code)


def run(arguments: list[str]) -> int:
    """Run a command line; its exit code. Never a traceback for what a user can type."""
    stdout = sys.stdout
    try:
        result: Any = group.main(arguments, prog_name="briefgen", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        say(error.format_message())
        return EXIT_USAGE
    except click.ClickException as error:
        return _usage(error, as_json="--json" in arguments)
    except (click.Abort, KeyboardInterrupt) as stopped:
        left = stopped.args or [STOPPED[name] for name in arguments[:1] if name in STOPPED]
        complain("; ".join(("stopped", *map(str, left))))
        return EXIT_STOPPED
    except (OutputFailed, OSError) as error:
        if isinstance(error, OSError) and error.filename is not None:
            raise  # a file's, which is a fault of the program: what it prints to has no name
        drop_output()
        complain(
            "briefgen: error: the output could not be printed:"
            f" {error.strerror if isinstance(error, OSError) else error}"
        )
        return EXIT_OUTPUT
    except SystemExit:
        if sys.stdout is not stdout:  # click puts another in its place where nobody reads its help any more
            return 0
        raise
    return result if isinstance(result, int) else 0


def _usage(error: click.ClickException, *, as_json: bool) -> int:
    context = getattr(error, "ctx", None)
    usage = [context.get_usage(), f"Try '{context.command_path} --help' for help."] if context else []
    if as_json:
        from briefgen.commands.report import print_json, problem_object
        from briefgen.core.diagnostics import Diagnostic

        wrong = Diagnostic("usage", "error", error.format_message(), help=" ".join(" ".join(usage).split()))
        print_json(problem_object(EXIT_USAGE, wrong))
        return EXIT_USAGE
    for line in usage:
        complain(line)
    complain(f"briefgen: error: {error.format_message()}")
    return EXIT_USAGE
