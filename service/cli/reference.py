"""Generates the guide to settings and commands: `python -m service.cli.reference > service/guides/settings-and-commands.md`."""

from __future__ import annotations

from collections.abc import Iterator

import click

from service.cli.main import PROGRAM, service
from service.settings import MEANING, READERS, variable


def reference() -> str:
    """The guide in CommonMark."""
    settings = [
        f"| `{variable(name)}` | {meaning} | {default} |" for name, (meaning, default) in ((each, MEANING[each]) for each in READERS)
    ]
    return "\n".join(
        [
            "# Settings and commands",
            "",
            "Settings are environment variables, read once at the start. A wrong one is refused with its name and what is accepted.",
            "",
            "## Settings",
            "",
            "| setting | meaning | where it is not set |",
            "|---|---|---|",
            *settings,
            "",
            "## Commands",
            "",
            f"`{PROGRAM} COMMAND --help` describes a command and does nothing else. Commands that change or delete stored data say what they would do",
            "and ask; `--yes` answers for you, also in a script, where nobody can be asked and they refuse without it. They end with 0, 1 (a difference, a",
            "failed line, a no) or 2 (refused, with the reason).",
            "",
            f"| `{PROGRAM} ...` | does |",
            "|---|---|",
            *(f"| `{usage}` | {words} |" for usage, words in _commands(service, "")),
            "",
        ]
    )


def _commands(group: click.Group, before: str, above: click.Context | None = None) -> Iterator[tuple[str, str]]:
    context = click.Context(group, parent=above, **group.context_settings)  # click caches a command's help option on first use
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from _commands(command, f"{before}{name} ", context)
        elif command is not None:
            pieces = " ".join(
                [piece for piece in command.collect_usage_pieces(click.Context(command, parent=context)) if piece != "[OPTIONS]"]
            )
            yield f"{before}{name} {pieces}".strip().replace("|", "\\|"), _first(command).replace("|", "\\|")


def _first(command: click.Command) -> str:
    return (command.help or "").split("\n\n")[0].replace("\n", " ").strip()


if __name__ == "__main__":
    click.echo(reference(), nl=False)
