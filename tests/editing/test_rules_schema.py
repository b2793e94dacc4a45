"""`rules schema` writes one JSON Schema a kind of file and says how an editor finds it."""

import json

import jsonschema

from revive.cli import main
from revive.commands.rules_schema import PLACES


def test_every_schema_is_written_and_is_a_schema(rules, tmp_path, capsys):
    folder = tmp_path / "schemas"

    code = main(["rules", "schema", str(folder), "--rules", str(rules)])

    said = capsys.readouterr().out
    assert code == 0
    assert {file.name for file in folder.iterdir()} == {f"{name}.schema.json" for name in PLACES}
    for file in folder.iterdir():
        jsonschema.Draft202012Validator.check_schema(json.loads(file.read_text("utf-8")))
    assert f"  # yaml-language-server: $schema={folder.as_posix()}/rules.schema.json\n" in said


def test_the_record_schema_knows_the_questions_of_the_rule_base(rules, tmp_path):
    main(["rules", "schema", str(tmp_path), "--rules", str(rules)])

    record = json.loads((tmp_path / "record.schema.json").read_text("utf-8"))
    answers = record["properties"]["answers"]["anyOf"][0]["properties"]
    assert list(answers) == ["layout", "years_stored", "layup_done", "oil_look"]
    assert answers["oil_look"]["anyOf"][0] == {"enum": ["clear", "gritty", "not_seen", "dont_know"]}
    assert answers["years_stored"]["anyOf"][0]["anyOf"][0] == {"type": "number", "minimum": 0, "maximum": 80}


def test_without_a_folder_they_are_listed(rules, capsys):
    assert main(["rules", "schema", "--rules", str(rules)]) == 0

    assert "  rules.schema.json  for findings/*/*.yaml\n" in capsys.readouterr().out


def test_a_club_schema_takes_what_a_clubs_folder_may_say(rules, tmp_path):
    main(["rules", "schema", str(tmp_path), "--rules", str(rules), "--club"])

    rule = json.loads((tmp_path / "rules.schema.json").read_text("utf-8"))["properties"]["rules"]
    assert {"overrides", "approved_by", "reason"} <= set(rule["additionalProperties"]["properties"])


def test_a_folder_that_cannot_be_made_is_said_in_one_sentence(rules, tmp_path, capsys):
    (tmp_path / "file").write_text("x", "utf-8")

    assert main(["rules", "schema", str(tmp_path / "file" / "deep"), "--rules", str(rules)]) == 1
    assert capsys.readouterr().err.strip().endswith("cannot be written (Not a directory)")
