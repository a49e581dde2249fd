"""Causes of what went wrong with a floor, what helps, and the facts that tell the same as a complaint."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.entry import Entry, Sources, Text, Texts, YesNo

CauseFamily = Literal["moisture", "concrete", "residue", "work", "use", "movement"]
Usual = Literal["often", "sometimes", "seldom"]
Work = Literal["grind", "sand", "cut", "strip"]  # ground or blasted; sanded; drilled, cored or cut; stripped


class Remedy(Entry):
    """What to do about a cause."""

    take_off: Text  # what must come off, and what can stay
    mend: Text  # what to put right first
    spot: Text  # when a repair of the spot holds, and when not
    call: Text = ""  # whom
    fails_again: dict[str, Texts] = Field(default={})  # properties of the finishes that would fail the same way
    not_now: Texts = ()  # of the section `not_now`
    due: Texts = ()  # of the section `due`: before money is spent on it
    does: tuple[Work, ...] = ()  # by which rules judge what it can harm (`rulebase.causes`)


class Cause(Entry):
    """What can have gone wrong with a floor, what it looks like, and what helps.

    `mostly` gives complaints that come from it more often than from most others. `fits`, `may_fit`, `against` and
    `excluded` give, by fact, the values that speak for it, weakly for it and against it, and those with which it cannot
    be. They become its properties (`rulebase.causes`), by which rules judge it.
    """

    name: Text
    brief: str = ""  # the same where room is shortest (empty: as it stands)
    family: CauseFamily
    what: Text
    usual: Usual
    danger: str = ""  # who may be hurt if it is missed; while it is possible it is shown
    mostly: dict[str, Texts] = Field(default={})
    fits: dict[str, Texts]
    may_fit: dict[str, Texts] = Field(default={})
    against: dict[str, Texts] = Field(default={})
    excluded: dict[str, Texts] = Field(default={})
    remedy: Remedy
    source: Sources


class NotNow(Entry):
    """What would do harm before the cause is known or put right."""

    says: Text
    source: Sources
    warned_of: Texts = ()  # cautions: it is said where the floor raises one of them, whatever the cause


class Due(Entry):
    """A test, a sample or somebody's look that is due: a remedy names it, or the floor is warned of something."""

    says: Text
    source: Sources
    warned_of: Texts = ()  # cautions: due where the floor raises one, before anybody disturbs what lies there
    clears: Texts = ()  # facts of which an answer that costs nothing may clear it
    finds: str = ""  # the fact that it finds out; once that is known, it is due no longer
    does: tuple[Work, ...] = ()


class Sign(Entry):
    """How another fact and the complaints tell each other: `coating_peeled: yes` is peeling; blisters are that too."""

    comes_to: dict[str, str]  # by value of the fact: the complaint that it is
    told_by: dict[str, str] = Field(default={})  # by complaint: the value of the fact that then holds
    told_in_advice: YesNo = False  # whether the advice on a finish speaks of it
    source: Sources
