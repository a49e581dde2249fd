"""The addresses for programs: the same data as the commands print, held to their schemas, and what is refused.

Problem details are held to RFC 9457 (July 2023), section 3; the description to OpenAPI 3.1.0 as FastAPI's own models
of it read it, its schemas to JSON Schema of 2020-12 as jsonschema reads it.
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

import httpx
import jsonschema
import pytest
from fastapi.openapi.models import OpenAPI

from advisor.cli.running import run_command
from advisor.demo import demo_cases
from advisor.reference.schemas import CALLED, MODELS, json_schema
from advisor.rulebase.documents import read_document
from advisor.web.app import ROUTES
from tests.answer.test_judging import BASE
from tests.web.conftest import Visitor
from tests.web.test_own import BOOK

DEMO = "untested_garage"
CASE: dict[str, Any] = read_document(demo_cases()[DEMO]).content
QUOTE = {"finish": "epoxy_solid", "area": "440 ft2", "price": "9000 USD", "coats": "2"}
FLOORS = [
    {"floor": "Ours", "room": "garage", "slab_humidity [%]": "78", "area": "440 ft2", "wanted_look": "flecked"},
    {"floor": "Theirs", "room": "kitchen", "slab_humidity [%]": None, "area": "20 m2"},
    {"floor": "Too wet", "room": "garage", "slab_humidity [%]": 400, "area": "440 ft2"},
]
ASKED: dict[str, tuple[dict[str, Any], list[str]]] = {
    "advise": ({}, ["advise", DEMO]),
    "causes": ({}, ["causes", DEMO]),
    "next": ({}, ["next", DEMO]),
    "revise": ({"say": {"slab_humidity": "97 %"}}, ["revise", DEMO, "slab_humidity=97 %"]),
    "why": ({"finish": "floor_paint"}, ["why", DEMO, "floor_paint"]),
    "turn": ({"most": 1}, ["turn", DEMO, "--most", "1"]),
    "materials": ({"finish": "epoxy_solid", "units": "si"}, ["materials", DEMO, "epoxy_solid", "--units", "si"]),
    "cost": ({"rate": "4 %"}, ["cost", DEMO, "--rate", "4 %"]),
    "plan": ({"start": "2026-12-07", "weekdays": True}, ["plan", DEMO, "--start", "2026-12-07", "--weekdays"]),
    "compare": ({"finishes": ["epoxy_solid", "floor_paint"]}, ["compare", DEMO, "epoxy_solid", "floor_paint"]),
    "care": ({"finish": "epoxy_solid"}, ["care", DEMO, "epoxy_solid"]),
    "quote": ({"quote": QUOTE}, ["quote", DEMO, "quote.json"]),
    "survey": ({"floors": FLOORS, "weigh": True}, ["survey", "floors.csv", "--weigh"]),
    "work": (
        {"sheet": "dew-point", "inputs": {"air_temperature": "20 C", "air_humidity": "60 %"}},
        ["work", "dew-point", "air_temperature=20 C", "air_humidity=60 %"],
    ),
}
LOOKED_UP: dict[str, tuple[str, list[str]]] = {
    "facts": ("?fact=slab_humidity&fact=room", ["facts", "slab_humidity", "room"]),
    "rules": ("?word=humidity&word=film", ["rules", "humidity", "film"]),
    "rule": ("?id=vapour.humidity_about_the_makers_limit", ["rule", "vapour.humidity_about_the_makers_limit"]),
    "sources": ("?id=astm_f2170", ["sources", "astm_f2170"]),
    "lessons": ("?topic=peeling", ["lessons", "--topic", "peeling"]),
    "audit": ("?claim=leak_stops", ["audit", "leak_stops"]),
}
HOURS = [
    {"time": f"2026-12-{7 + n // 24:02}T{n % 24:02}:00", "air_c": 4 if n < 48 else 21.5, "humidity": 55}
    for n in range(24 * 16)
]


@pytest.fixture
def described(visitor: Visitor) -> dict[str, Any]:
    found: dict[str, Any] = visitor.get("/api/v1/openapi.json").json()
    return found


OF_NO_FLOOR = ("work", "survey")


def send(visitor: Visitor, verb: str, **more: Any) -> httpx.Response:
    floor = {} if verb in OF_NO_FLOOR else {"case": CASE}
    return visitor.post(f"/api/v1/{verb}", json={**floor, **more})


def write_files(folder: Path) -> None:
    """What the requests send, for the commands."""
    (folder / "quote.json").write_text(json.dumps(QUOTE))
    with (folder / "floors.csv").open("w", newline="") as file:
        table = csv.DictWriter(file, FLOORS[0])
        table.writeheader()
        table.writerows(FLOORS)


def printed(monkeypatch: pytest.MonkeyPatch, capsys: Any, arguments: list[str]) -> Any:
    """What a command prints."""
    monkeypatch.setattr(sys, "argv", ["advisor", *arguments, "--json"])
    with pytest.raises(SystemExit):
        run_command()
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("verb", ASKED)
def test_the_answer_is_what_the_command_prints_and_keeps_to_the_description(
    verb: str, visitor: Visitor, described: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: Any, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    write_files(tmp_path)
    more, arguments = ASKED[verb]
    answer = send(visitor, verb, **more)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert answer.json() == printed(monkeypatch, capsys, arguments)
    for part, sent in ((f"{verb}_asked", json.loads(answer.request.content)), (f"{verb}_answered", answer.json())):
        check = jsonschema.Draft202012Validator({**described, "$ref": f"#/components/schemas/{part}"})
        check.validate(sent)
        assert not check.is_valid({**sent, "beside": 1})
    jsonschema.Draft202012Validator(json_schema(CALLED.get(verb, verb), lambda: BASE)).validate(answer.json())


BY_PRODUCT = [name for name in ASKED if name not in ("work", "materials", "compare", "care")]


@pytest.mark.parametrize("verb", BY_PRODUCT)
def test_a_product_and_prices_that_are_sent_count_as_those_that_a_command_is_given(
    verb: str, visitor: Visitor, described: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: Any, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    sheet = {"product": "The grey one", "like": "epoxy_flake", "humidity": "90 %", "coverage": "160 ft2/gal"}
    (tmp_path / "sheet.json").write_text(json.dumps(sheet))
    (tmp_path / "prices.csv").write_text(BOOK)
    write_files(tmp_path)
    more, arguments = ASKED[verb]
    priced = "prices" in described["components"]["schemas"][f"{verb}_asked"]["properties"]
    answer = send(visitor, verb, **more, product=[sheet], **({"prices": BOOK} if priced else {}))
    same = printed(monkeypatch, capsys, [*arguments, "--product", "sheet.json", *(["--prices", "prices.csv"] * priced)])
    assert answer.json() == json.loads(json.dumps(same).replace("prices.csv", "prices"))
    assert answer.json() != send(visitor, verb, **more).json()
    told = problem(send(visitor, verb, **more, product=[{**sheet, "humidity": "much"}]), 422)
    assert "humidity" in told["detail"]
    assert [each["where"] for each in told["faults"]] == ["product"]
    if priced:
        told = problem(send(visitor, verb, **more, prices=BOOK.replace(",91,", ",much,")), 422)
        assert [each["where"] for each in told["faults"]] == ["prices, row 2, column price"]


@pytest.mark.parametrize("what", LOOKED_UP)
def test_what_is_looked_up_is_what_the_command_prints_and_keeps_to_the_description(
    what: str, visitor: Visitor, described: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    query, arguments = LOOKED_UP[what]
    answer = visitor.get(f"/api/v1/{what}{query}")
    assert answer.status_code == 200
    assert answer.json() == printed(monkeypatch, capsys, arguments)
    part = {**described, "$ref": f"#/components/schemas/{what}_answered"}
    jsonschema.Draft202012Validator(part).validate(answer.json())
    names = {each["name"] for each in described["paths"][f"/api/v1/{what}"]["get"]["parameters"]}
    assert {name for name, _ in parse_qsl(query[1:])} <= names
    told = problem(visitor.get(f"/api/v1/{what}?colour=red"), 422)
    assert [each["where"] for each in told["faults"]] == ["colour"]
    unknown = problem(visitor.get(f"/api/v1/{what}?{'topic' if what == 'rules' else min(names)}=qqzz"), 422)
    jsonschema.Draft202012Validator({**described, "$ref": "#/components/schemas/problem"}).validate(unknown)


def test_a_plan_keeps_to_the_weather_that_was_sent(
    visitor: Visitor, described: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: Any, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    lines = [",".join(HOURS[0]), *(",".join(map(str, each.values())) for each in HOURS)]
    (tmp_path / "weather.csv").write_text("\n".join(lines))
    shop = read_document(demo_cases()["shop_over_ground"]).content
    asked = {"case": shop, "start": "2026-12-07"}
    with_it = send(visitor, "plan", **asked, weather=HOURS)
    command = ["plan", "shop_over_ground", "--start", "2026-12-07", "--weather", "weather.csv"]
    same = printed(monkeypatch, capsys, command)
    assert json.loads(with_it.text) == json.loads(json.dumps(same).replace("weather.csv", "weather"))
    assert with_it.json() != send(visitor, "plan", **asked).json()
    check = jsonschema.Draft202012Validator({**described, "$ref": "#/components/schemas/plan_asked"})
    check.validate(json.loads(with_it.request.content))
    wrong = [{**HOURS[0], "air_c": 400}, {**HOURS[1], "time": "noon"}, HOURS[2]]
    told = problem(send(visitor, "plan", **asked, weather=wrong), 422)
    assert [each["where"] for each in told["faults"]] == ["weather, row 1, column air_c", "weather, row 2, column time"]


def test_the_description_names_every_address_and_is_one_of_openapi(described: dict[str, Any]) -> None:
    OpenAPI.model_validate(described)
    assert described["openapi"] == "3.1.0"
    assert set(described["paths"]) == {f"/api/v1/{verb}" for verb in (*ASKED, *LOOKED_UP)}
    giving = {*MODELS} - {"diff"}  # which compares folders of rules
    assert {*ASKED, *LOOKED_UP} == giving
    for name, schema in described["components"]["schemas"].items():
        jsonschema.Draft202012Validator.check_schema(schema)
        for reference in references(schema):
            place: Any = described
            for step in reference.removeprefix("#/").split("/"):
                place = place[step]
            assert isinstance(place, dict), (name, reference)


def references(schema: object) -> Iterator[str]:
    if isinstance(schema, dict):
        if isinstance(each := schema.get("$ref"), str):
            yield each
        for inner in schema.values():
            yield from references(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from references(inner)


def test_facts_are_listed_with_what_is_allowed_and_how_to_find_out(visitor: Visitor) -> None:
    named = visitor.get("/api/v1/facts?fact=slab_humidity").json()["facts"]
    assert [each["fact"] for each in named] == ["slab_humidity"]
    assert named[0]["find_out"] == BASE.facts["slab_humidity"].find_out
    assert {each["fact"] for each in visitor.get("/api/v1/facts").json()["facts"]} == set(BASE.facts)
    assert visitor.get("/api/v1/facts?fact=nothing").status_code == 422


def problem(answer: httpx.Response, status: int) -> dict[str, Any]:
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    told: dict[str, Any] = answer.json()
    assert told["status"] == status
    assert {"type", "title", "detail"} <= told.keys()
    return told


def test_a_wrong_fact_is_named_with_what_was_given_what_is_allowed_and_how_to_find_out(
    visitor: Visitor, described: dict[str, Any]
) -> None:
    facts = {"slab_humidity": "140 %", "room": "moon", "slab_humidty": "80 %"}
    told = problem(visitor.post("/api/v1/advise", json={"case": {"facts": facts}}), 422)
    check = jsonschema.Draft202012Validator({**described, "$ref": "#/components/schemas/problem"})
    check.validate(told)
    faults = {each["where"]: each for each in told["faults"]}
    assert faults.keys() == facts.keys()
    assert ".." not in told["detail"]
    assert {name: each["given"] for name, each in faults.items()} == facts
    assert "1 to 100 %" in faults["slab_humidity"]["allowed"]
    assert faults["room"]["find_out"] == BASE.facts["room"].find_out
    assert "slab_humidity" in faults["slab_humidty"]["remedy"]
    again = problem(send(visitor, "revise", say={"slab_age": "tomorrow"}), 422)
    assert [(each["where"], each["given"]) for each in again["faults"]] == [("slab_age", "tomorrow")]


def test_a_survey_is_as_small_as_one_request_may_be(visitor: Visitor) -> None:
    row = {"room": "garage"}
    told = problem(send(visitor, "survey", floors=[row] * 201, weigh=True), 422)
    assert told["faults"][0]["allowed"] == "at most 200 floors"
    assert len(send(visitor, "survey", floors=[row] * 2000).json()["floors"]) == 2000
    assert problem(send(visitor, "survey", floors=[row] * 2001), 422)["faults"][0]["where"] == "floors"
    assert problem(send(visitor, "survey", floors=[]), 422)["faults"][0]["where"] == "floors"
    told = problem(send(visitor, "survey", floors=[{"colour": "red", "room [m]": "garage"}]), 422)
    assert ["colour" in told["faults"][0]["says"], "room" in told["faults"][1]["says"]] == [True, True]


def test_what_takes_long_goes_into_its_own_line() -> None:
    assert {route.path for route in ROUTES if route.slow} == {"/api/v1/lessons", "/api/v1/audit"}


@pytest.mark.parametrize(
    ("verb", "body", "names"),
    [
        ("advise", b"", "request"),
        ("advise", b"[1]", "request"),
        ("advise", b'{"case": {}, "case": {}}', "request"),
        ("advise", b"{" * 5000, "request"),
        ("advise", b"\xff", "request"),
        ("advise", b'{"floor": {}}', "case"),
        ("advise", b'{"case": {"facts": {}}, "colour": "red"}', "colour"),
        ("turn", b'{"case": {"facts": {}}, "most": 9}', "most"),
        ("cost", b'{"case": {"facts": {"area": "400 ft2"}}, "rate": "much"}', "rate"),
        ("plan", b'{"case": {"facts": {"area": "400 ft2"}}, "start": "soon"}', "start"),
        ("why", b'{"case": {"facts": {}}, "finish": "gold"}', "finish"),
    ],
)
def test_a_wrong_request_is_a_problem_that_names_the_entry(
    visitor: Visitor, verb: str, body: bytes, names: str
) -> None:
    told = problem(visitor.post(f"/api/v1/{verb}", content=body), 422)
    assert names in {each["where"].partition(",")[0] for each in told["faults"]}
    assert told["type"] == "/api/v1#wrong"


def test_what_http_itself_refuses_is_a_problem_too(visitor: Visitor) -> None:
    assert problem(visitor.get("/api/v1/nothing"), 404)["type"] == "about:blank"
    problem(visitor.get("/api/v1/advise"), 405)
    problem(visitor.post("/api/v1/advise", content=b"x" * 300_000), 413)
    problem(visitor.post("/api/v1/advise", json={}, headers={"Origin": "https://elsewhere.example"}), 403)


def test_the_page_about_it_names_every_verb(visitor: Visitor) -> None:
    page = visitor.get("/api/v1").text
    assert all(f"/api/v1/{verb}" in page for verb in (*ASKED, *LOOKED_UP))


def test_today_is_the_day_of_the_answer(visitor: Visitor) -> None:
    assert send(visitor, "advise").json()["date"] == date.today().isoformat()
