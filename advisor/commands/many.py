"""Verbs about many floors, and about the rule base as a whole: audit, survey, map, diff."""

from __future__ import annotations

from typing import Annotated

import typer

from advisor.commands.app import JsonOption, RulesOption, app, rule_base


@app.command()
def audit(
    claims: Annotated[list[str] | None, typer.Argument(help="Only these claims; all if none is named.")] = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
) -> None:
    """Prove or refute, for every floor that there can be, what the rules claim; exit 1 if a claim is refuted."""
    from advisor.audit import audit as audit_rules
    from advisor.audit import check_names, in_words, tally

    base = rule_base(rules)
    check_names(base, claims or [])
    findings = []
    for finding in audit_rules(base, claims or []):
        findings.append(finding)
        if not as_json:
            typer.echo(in_words(finding))
    if as_json:
        import json

        typer.echo(json.dumps([finding.as_data() for finding in findings], indent=2))
    else:
        typer.echo(tally(findings))
    if any(finding.outcome == "refuted" for finding in findings):
        raise typer.Exit(1)
