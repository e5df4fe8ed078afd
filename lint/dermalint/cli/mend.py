"""``dermalint mend``: the smallest changes of regimen files that take findings away."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.mend.judging import Judges
    from dermalint.mend.whole import Choice, Outcome, Wanted
    from dermalint.packs.model import PackSet
    from dermalint.regimen.model import Problem, Reading

ATTEMPTS = 4  # times that a file which somebody else changes meanwhile is mended anew
_PICK = re.compile(r"([1-9][0-9]{0,3})([a-z])")

HELP = """Mend regimen files: the smallest changes that take findings away and bring no new ones.

PATH is a regimen file, or a folder that is searched for files named *.regimen.yaml (.yml, .json, .toml). Steps are put in
another order, waits added, applications moved to another day or slot, used less often, kept from an area, or given a companion
that the file declares. No product is deleted, no strength changed, nothing prescribed and no waiver touched; every other byte
of the file stays. Each change was reviewed by all rules before it is shown.

\b
See what would change:
    dermalint mend calm.regimen.yaml
Write it:
    dermalint mend calm.regimen.yaml --write
Another proposal for the second change, and not the third one:
    dermalint mend calm.regimen.yaml --pick 2b --leave 3 --write
Only what one pack finds (all rules still judge the changes):
    dermalint mend courses/ --only retinoids

\b
Exit status: 0 nothing to mend, or all was written; 1 changes are proposed and not written, or findings are left for which
nothing works; 2 something could not be read or written, or the call was wrong; 3 a fault inside
dermalint or a plugin.
"""


@click.command("mend", help=HELP, short_help="Propose or write the smallest changes that take findings away.")
@click.argument("paths", metavar="PATH...", nargs=-1)
@click.option("--write", is_flag=True, help="Write the changes into the files.")
@click.option(
    "--as", "format_", callback=one_of("text", "json"), default="text", metavar="text|json",
    help="The changes for people (text, as usual) or for programs (json).",
)  # fmt: skip
@click.option("--pick", multiple=True, metavar="NUMBER+LETTER", help="Another proposal for a change, such as 2b.")
@click.option("--leave", multiple=True, type=click.IntRange(1), metavar="NUMBER", help="Do not make this change.")
@click.option(
    "--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs: a file or a folder."
)
@click.option("--only", multiple=True, metavar="NAME", help="Mend only what this rule or pack finds.")
@click.option("--without", multiple=True, metavar="NAME", help="Judge without this rule or pack.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge on this date, not today's.")
@click.option(
    "--possible", callback=one_of("show", "hide"), default="show", metavar="show|hide",
    help="Mend findings that depend on what a file does not say, too (show, as usual), or leave them (hide).",
)  # fmt: skip
@plugin_options
def command(
    paths: Sequence[str],
    write: bool,
    format_: str,
    pick: Sequence[str],
    leave: Sequence[int],
    packs: Sequence[Path],
    only: Sequence[str],
    without: Sequence[str],
    stance: str | None,
    region: str | None,
    as_of: date | None,
    possible: str,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Show or write the changes, and return the exit status."""
    if not paths:
        raise WrongCall(
            "Which file or folder is to be mended?",
            "For instance: dermalint mend calm.regimen.yaml",
            click.get_current_context(),
        )
    from dermalint.cli.names import check_region, full_names
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.mend.judging import Judges
    from dermalint.review import Asked, open_desk, own_files
    from dermalint.settings.model import SettingsError
    from dermalint_grammar.record import replace

    choice = _choice(pick, leave)
    try:
        settings = project_settings(paths)
        asked = Asked(
            packs=project_packs(settings, packs),
            stance=stance,
            region=region,
            as_of=as_of,
            plugins=chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None),
            settings=settings,
        )
        desk, found = open_desk(asked)
        if region:
            check_region(region, found)
        if without:
            desk, found = open_desk(replace(asked, without=full_names("--without", without, found)))
        names = full_names("--only", only, found)
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    files = own_files(paths, settings)
    if choice is not None and len(files) != 1:
        raise WrongCall("--pick and --leave go with one file.", "For instance: dermalint mend calm.regimen.yaml --pick 2b")
    run = _Run(Judges(desk), found, _wanted(names, possible), choice, write, as_json=format_ == "json")
    run.tell(found.problems)
    for path in files:
        run.mend(path)
        run.judges.kept.clear()
    return run.close(len(files))


def _choice(pick: Sequence[str], leave: Sequence[int]) -> Choice | None:
    from dermalint.mend.whole import Choice

    picks: dict[int, int] = {}
    for word in pick:
        match = _PICK.fullmatch(word)
        if match is None:
            raise WrongCall(f"--pick takes a change's number and a proposal's letter, not “{word}”.", "For instance: --pick 2b")
        picks[int(match[1])] = ord(match[2]) - ord("a")
    return Choice(picks, frozenset(leave)) if picks or leave else None


def _wanted(names: tuple[str, ...], possible: str) -> Wanted:
    from dermalint.verdict.findings import POSSIBLE, Finding

    def wanted(finding: Finding) -> bool:
        if possible == "hide" and finding.certainty == POSSIBLE:
            return False
        return not names or finding.rule in names or finding.rule.partition(".")[0] in names

    return wanted


class _Run:
    """One call: what is printed, and what it comes to."""

    def __init__(
        self, judges: Judges, packs: PackSet, wanted: Wanted, choice: Choice | None, write: bool, *, as_json: bool
    ) -> None:
        from dermalint.cli.writing import page_for_stdout

        self.judges = judges
        self.packs = packs
        self.wanted = wanted
        self.choice = choice
        self.write = write
        self.page = page_for_stdout()
        self.changed = self.left = self.failed = 0
        self.files: list[dict[str, Any]] | None = [] if as_json else None
        self.said: list[str] = []  # what failed

    def mend(self, path: str) -> None:
        """Mend one file, and print what comes of it."""
        from dermalint.cli.replacing import ChangedMeanwhile, replace_file
        from dermalint.mend.document import read_document
        from dermalint.mend.whole import NoSuchChoice, mend_document

        for _ in range(ATTEMPTS):
            try:
                data = Path(path).read_bytes()
            except OSError as error:
                self.fail(f"{path} cannot be read: {error.strerror or error}.")
                return
            document = read_document(Path(path), path, data)
            if not document.sound:
                self.unsound(path, document.reading)
                return
            try:
                outcome = mend_document(self.judges, document, self.wanted, self.choice)
            except NoSuchChoice as wrong:
                self.fail(f"{wrong} Nothing was done: dermalint mend {path} shows what can be chosen.")
                return
            if not self.write or not outcome.changes:
                self.show(outcome)
                return
            try:
                replace_file(Path(path), outcome.result.data, expected=data)
            except ChangedMeanwhile:
                continue
            except OSError as error:
                self.fail(f"{path} cannot be written: {error.strerror or error}.")
                return
            self.show(outcome)
            return
        self.fail(f"{path} is changed again and again by somebody else; nothing was written.")

    def unsound(self, path: str, reading: Reading) -> None:
        """A file with mistakes is not mended: what they concern was not judged."""
        from dermalint.cli.mistakes import tell_mistakes

        tell_mistakes(reading.problems, reading.sources, path)
        self.fail(f"{path} has mistakes and stays as it is.")

    def tell(self, problems: Sequence[Problem]) -> None:
        """Say on standard error what is wrong with packs and plugins."""
        from dermalint.cli.writing import page_for_stderr
        from dermalint.report.text_report import problem_note

        page = page_for_stderr()
        for problem in problems:
            self.failed += problem.level == "error"
            click.echo(page.finish([*problem_note(page, problem, self.packs.sources, ""), ""]), err=True, nl=False)

    def fail(self, message: str) -> None:
        self.failed += 1
        self.said.append(message)
        click.echo(message, err=True)

    def show(self, outcome: Outcome) -> None:
        from dermalint.cli.writing import write_text
        from dermalint.mend.clash import explain
        from dermalint.report.mend_report import file_report

        self.changed += len(outcome.changes)
        self.left += len(outcome.left)
        if self.files is None and not (outcome.changes or outcome.left or outcome.skipped):
            return
        clashes = [explain(self.judges, outcome.result, found, outcome.verdict) for found in outcome.left]
        rules = {rule for clash in clashes for rule in (clash.finding.rule, *clash.rules)}
        sentences = self.sentences(rules)
        if self.files is None:
            write_text(self.page.finish(file_report(self.page, outcome, clashes, sentences)))
        else:
            from dermalint.report.mend_json import file_as_data

            self.files.append(file_as_data(outcome, clashes, sentences))

    def sentences(self, rules: set[str]) -> dict[str, str]:
        """The rules' own sentences."""
        from dermalint.report.rules_report import cards, sentence_of

        return {
            linked.id: sentence_of(card.text, linked.rule.sentence)
            for card in (cards(self.packs, sorted(rules)) if rules else [])
            for linked in card.rules
        }

    def close(self, files: int) -> int:
        """Print the last lines; the exit status."""
        from dermalint.cli.exit_status import FAULT, FINDINGS, UNREAD, WELL
        from dermalint.cli.writing import write_text
        from dermalint.plugins.faults import merge
        from dermalint.report.mend_report import closing, mend_summary

        if self.files is not None:
            from dermalint.cli.writing import write_document
            from dermalint.report.mend_json import document

            asked = self.judges.desk.asked
            write_document(document(self.files, self.said, asked, self.packs, wrote=self.write))
        else:
            sound = files - len(self.said)
            said = "No regimen file was found." if not files else "Nothing was mended: what is said above comes first."
            if sound > 0:
                said = mend_summary(self.changed, self.left, sound, wrote=self.write)
            write_text(self.page.finish(closing(self.page, said)))
        if faults := merge(self.judges.desk.bench.plugins.take_faults()):
            self.tell(faults)
            return FAULT
        if self.failed or not files:
            return UNREAD
        return FINDINGS if self.left or (self.changed and not self.write) else WELL
