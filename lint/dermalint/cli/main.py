"""The entry point: which commands there are, what a wrong call is answered, and how the run ends.

Exit status: 0 nothing at or above ``--fail-at``, 1 findings, 2 something could not be read or the call was wrong, 3 a fault
inside the tool or a plugin, 130 stopped from the keyboard.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from errno import ENOSPC
from importlib import import_module

import click

from dermalint import __version__
from dermalint.cli.calls import WrongCall, explain, nearest_of
from dermalint.cli.writing import forget_stdout, open_closed_streams

WRONG_CALL, FAULT, STOPPED = 2, 3, 130
TRACE = "DERMALINT_TRACE"
COMPLETE = "_DERMALINT_COMPLETE"  # what a shell asks with; click's own protocol

# Each command with the one line that `dermalint --help` says of it, so that help imports none of them.
COMMANDS = {
    "review": "Check regimen files and say what the rules find.",
    "rules": "List rule packs and rules, or show one rule with its reasons and sources.",
    "layout": "Bring rule files into their one layout.",
    "mend": "Propose or write the smallest changes that take findings away.",
    "arrange": "Arrange wishes into a regimen that all rules accept.",
    "handout": "Write the page, the PDF or the calendar that people take home.",
    "pairings": "Show which families, or a regimen's products, go together.",
    "proof": "Prove rule packs: contradictions, examples, coverage, witnesses.",
    "impact": "Say which regimens gain or lose findings when packs change.",
    "start": "Write a small regimen, pack, plugin or project to begin with.",
}

HELP = """Check skin-care regimens against rules that people wrote.

\b
Check one regimen:           dermalint review calm.regimen.yaml
Check a folder of them:      dermalint review courses/
See which rules there are:   dermalint rules
Read one rule whole:         dermalint rules PACK.RULE
More on one command:         dermalint review --help
"""


class Commands(click.Group):
    """A group that imports a command's module when the command is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        command = import_module(f"dermalint.cli.{cmd_name}").command
        assert isinstance(command, click.Command)
        if COMPLETE in os.environ:
            from dermalint.cli.completing import complete_values

            return complete_values(command)
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            looks_like_file = "." in name or "/" in name
            hint = f"To check it: dermalint review {name}" if looks_like_file else nearest_of(name, COMMANDS)
            raise WrongCall(f"There is no command “{name}”.", hint, ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def build() -> Commands:
    """The command group."""
    group = Commands(
        name="dermalint",
        help=HELP,
        context_settings={"help_option_names": ["--help", "-h"]},
    )
    return click.version_option(__version__, message="dermalint %(version)s")(group)


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status; never lets an exception out."""
    open_closed_streams()
    _never_fail_on_letters()
    group = build()
    if COMPLETE in os.environ:
        from click.shell_completion import shell_complete

        return shell_complete(group, {}, "dermalint", COMPLETE, os.environ[COMPLETE])
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        with group.make_context("dermalint", given.copy() or ["--help"]) as context:
            status = group.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as leave:
        return _leave(leave.exit_code if given else WRONG_CALL)
    except click.UsageError as wrong:
        _complain(explain(wrong, " ".join(["dermalint", *[name for name in given[:1] if name in COMMANDS]])))
        return WRONG_CALL
    except (KeyboardInterrupt, click.Abort):
        _complain("Stopped.")
        return STOPPED
    except BrokenPipeError:
        forget_stdout()
        return 0
    except Exception as fault:
        if isinstance(fault, OSError) and fault.errno == ENOSPC and fault.filename is None:
            return _complain_of_full_disk(fault)
        return _fault(fault)
    return status if isinstance(status, int) else 0


def _leave(status: int) -> int:
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        forget_stdout()
    return status


def _complain_of_full_disk(error: OSError) -> int:
    """What help texts meet, which click writes itself."""
    forget_stdout()
    _complain(f"Standard output cannot be written to: {error.strerror}.")
    return WRONG_CALL


def _never_fail_on_letters() -> None:
    """Let a terminal that lacks a letter show a question mark instead of ending the run."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _complain(text: str) -> None:
    click.echo(text, err=True)


def _fault(fault: BaseException) -> int:
    if os.environ.get(TRACE) == "1":
        import traceback

        traceback.print_exception(fault)
    _complain(
        f"Something went wrong inside dermalint ({_whereabouts(fault)}), which is no mistake in your files: please report it, "
        f"with what is printed when {TRACE}=1 is set."
    )
    return FAULT


def _whereabouts(fault: BaseException) -> str:
    """The innermost place of our own in a traceback, as ``dermalint/report/days.py, line 31``."""
    place = "in an unknown place"
    trace = fault.__traceback__
    while trace is not None:
        parts = trace.tb_frame.f_code.co_filename.replace(os.sep, "/").split("/")
        for package in ("dermalint", "dermalint_grammar"):
            if package in parts[:-1]:
                last = len(parts) - 1 - parts[::-1].index(package)
                place = f"{'/'.join(parts[last:])}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return place
