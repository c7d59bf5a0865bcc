"""The job sheet as forms: what is not touched stays as it was, what is changed is checked key by key."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import httpx
import pytest

from boottop.base.errors import InputError
from boottop.files.product import builtin_text
from boottop.files.template import template_text
from boottop.web.forms_edit import added, edited, form_of, removed
from boottop.web.forms_fields import Section, keys_of
from boottop.web.forms_job import SECTIONS as JOB
from boottop.web.forms_product import SECTIONS as PRODUCT
from boottop.web.new_jobs import demo_files, make_demo, make_new
from boottop.web.papers import good_name
from tests.web.serving import Running

ROOT = Path(__file__).parents[2]
DEMO = demo_files()["job.toml"].decode()
SHEETS = {"demo": (DEMO, JOB), "template": (template_text(), JOB)} | {
    name: (builtin_text(name), PRODUCT) for name in ("demo-copper-epoxy-a", "demo-metal-primer-d")
}


def _fields(text: str, sections: tuple[Section, ...]) -> dict[str, str]:
    return {one.name: one.text for _, blocks in form_of(text, sections) for block in blocks for one in block.fields}


@pytest.mark.parametrize("name", SHEETS)
def test_a_form_sent_back_untouched_changes_nothing(name: str) -> None:
    text, sections = SHEETS[name]
    assert edited(text, sections, _fields(text, tuple(sections))) == text


@pytest.mark.parametrize("name", SHEETS)
def test_every_field_typed_anew_comes_out_the_same(name: str) -> None:
    """Each key is taken out and put back as its text says: the same sheet for the reader."""
    text, sections = SHEETS[name]
    for key, value in _fields(text, tuple(sections)).items():
        section, _, last = key.rpartition(".")
        if not value or (len(_blocks_of(text, tuple(sections), section)) == 1 and section.endswith("]")):
            continue
        without = edited(text, sections, {key: ""})
        if key not in _fields(without, tuple(sections)):
            continue
        back = edited(without, sections, {key: value})
        assert _fields(back, tuple(sections)) == _fields(text, tuple(sections)), last


def _blocks_of(text: str, sections: tuple[Section, ...], name: str) -> set[str]:
    """Filled keys of a block."""
    return {key for key, value in _fields(text, sections).items() if key.rpartition(".")[0] == name and value}


def test_remarks_and_order_stay() -> None:
    changed = edited(DEMO, JOB, {"boat.length": "11.2 m", "yard.shelter": "0.4", "job.wanted_launch": ""})
    gone = [line for line in DEMO.splitlines() if line not in changed.splitlines()]
    new = [line for line in changed.splitlines() if line not in DEMO.splitlines()]
    assert len(gone) <= 3
    assert 'length = "11.2 m"' in new
    assert [line for line in DEMO.splitlines() if line.startswith("#")] == [
        line for line in changed.splitlines() if line.startswith("#")
    ]


def test_a_table_of_girths_is_typed_line_by_line() -> None:
    fields = _fields(DEMO, tuple(JOB))
    lines = fields["measure.girths"].splitlines()
    assert lines[1] == "1.24 m, 0.72 m, 0.52 m"
    lines[1] = "1.24 m, 0.80 m"
    changed = tomllib.loads(edited(DEMO, JOB, {"measure.girths": "\n".join(lines)}))
    assert changed["measure"]["girths"][1] == {"station": "1.24 m", "half_girth": "0.80 m"}
    assert len(changed["measure"]["girths"]) == len(lines)


def test_elements_are_added_and_taken_out() -> None:
    once = added(DEMO, JOB, "appendages")
    assert len(tomllib.loads(once)["appendages"]) == len(tomllib.loads(DEMO)["appendages"]) + 1
    assert tomllib.loads(removed(once, JOB, f"appendages[{len(tomllib.loads(once)['appendages'])}]")) == (
        tomllib.loads(DEMO)
    )
    assert "zones" not in tomllib.loads(DEMO)
    assert tomllib.loads(added(DEMO, JOB, "zones"))["zones"][0]["side"] == "port"
    assert tomllib.loads(removed(added(DEMO, JOB, "zones"), JOB, "zones[1]")) == tomllib.loads(DEMO)


def test_an_optional_section_comes_and_goes() -> None:
    with_tide = edited(DEMO, JOB, {"yard.tide.sill": "0.6 m"})
    assert tomllib.loads(with_tide)["yard"]["tide"] == {"sill": "0.6 m"}
    assert tomllib.loads(edited(with_tide, JOB, {"yard.tide.sill": ""})) == tomllib.loads(DEMO)


@pytest.mark.parametrize(
    "name", ["", "boat", "boat.nothing", "appendages[0].name", "appendages[99].name", "a.b.c", "boat.length]"]
)
def test_a_field_that_is_not_there_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="the field"):
        edited(DEMO, JOB, {name: "x"})


@pytest.mark.parametrize("name", ["boat", "nothing", "appendages[1]", ""])
def test_only_repeated_sections_grow(name: str) -> None:
    with pytest.raises(InputError, match="the field"):
        added(DEMO, JOB, name)


def _documented(product: bool) -> dict[str, set[str]]:
    """Keys by section as docs/job-sheet.md has them, without those that are sections themselves."""
    found: dict[str, set[str]] = {}
    for head, body in re.findall(
        r"^## (.+?)\n(.*?)(?=^## |^# |\Z)", (ROOT / "docs" / "job-sheet.md").read_text("utf-8"), re.M | re.S
    ):
        if head.startswith("Product:") is not product:
            continue
        section = re.search(r"\[+([\w.]+)\]+", head)
        rows = re.findall(r"^\| ((?:`\w+`(?:, )?)+) \| ([^|]*) \|", body, re.M)
        keys = {key for names, kind in rows if "section" not in kind for key in re.findall(r"\w+", names)}
        found[section[1] if section else ""] = keys
    return found


def test_the_form_has_every_documented_key_and_no_other() -> None:
    form, documented = keys_of(JOB), _documented(product=False)
    documented["measure"] |= {"girths"}
    for inside in ("", "measure.girths", "hire"):
        documented.pop(inside)
    assert form == documented


def test_the_product_form_has_every_documented_key_and_no_other() -> None:
    form, documented = keys_of(PRODUCT), _documented(product=True)
    documented[""] -= {"format"}
    documented["times"] -= {"at", "time"}
    assert form == documented


@pytest.fixture
def demo_job(server: Running) -> str:
    """The demonstration on a server, not worked out."""
    return make_demo(server.house)


def test_a_job_is_edited_and_saved(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/sheet"
    page = keeper.get(path)
    assert 'value="37 ft 9 in"' in page.text
    base = re.search(r'name="base" value="(\d+)"', page.text)
    assert base is not None
    assert keeper.post(path, data={"base": base[1], "boat.length": "38 ft 2 in"}).status_code == 303
    assert 'length = "38 ft 2 in"' in keeper.get(f"{path}.toml").text
    stale = keeper.post(path, data={"base": base[1], "boat.length": "39 ft"})
    assert stale.status_code == 422
    assert "saved by someone else" in stale.text


def test_a_sheet_with_mistakes_is_kept_and_each_is_shown_at_its_field(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/sheet"
    assert keeper.post(path, data={"boat.length": "37", "crew.people": "two"}).status_code == 303
    page = keeper.get(path).text
    for key in ("boat.length", "crew.people"):
        assert re.search(rf'data-wrong="{re.escape(key)}"><span class="wrong">', page), key
    assert "to put right" in keeper.get(f"/jobs/{demo_job}/areas").text


def test_checks_while_typing_name_the_key(server: Running, demo_job: str) -> None:
    keeper = server.keeper()

    def keys(fields: dict[str, str]) -> set[str]:
        answer = keeper.post(f"/jobs/{demo_job}/sheet/check", json={"fields": fields})
        return {one["key"] for one in answer.json()["problems"]}

    assert keys({}) == set()
    assert keys({"boat.length": "37"}) == {"boat.length"}
    assert keys({"yard.bow": "north-ish", "coatings[1].loss": "90 %"}) == {"yard.bow", "coatings[1].loss"}
    assert keys({"measure.girths": "0 m, 0 m\n5 m, 40 m\n9 m, 1 m"}) != set()
    assert "boat.length" in server.keeper().get(f"/jobs/{demo_job}/sheet").text


def test_typing_saves_nothing(server: Running, demo_job: str) -> None:
    keeper = server.keeper()
    before = keeper.get(f"/jobs/{demo_job}/sheet.toml").content
    keeper.post(f"/jobs/{demo_job}/sheet/check", json={"fields": {"boat.length": "12 m"}}).raise_for_status()
    assert keeper.get(f"/jobs/{demo_job}/sheet.toml").content == before == demo_files()["job.toml"]


def test_text_that_is_no_toml_is_given_back(server: Running, demo_job: str) -> None:
    keeper = server.keeper()
    answer = keeper.post(f"/jobs/{demo_job}/sheet", data={"toml": "[boat\nname = <b>"})
    assert answer.status_code == 422
    assert "name = &lt;b&gt;" in answer.text
    assert keeper.get(f"/jobs/{demo_job}/sheet.toml").content == demo_files()["job.toml"]


@pytest.mark.parametrize(
    "line",
    [
        'sheet = "/etc/hostname.toml"',
        'sheet = "../../secret.toml"',
        'sheet = "coatings/../../secret.toml"',
        'sheet = "..\\\\secret.toml"',
        'sheet = "C:/secret.toml"',
    ],
)
def test_a_sheet_cannot_have_the_server_read_other_files(server: Running, demo_job: str, *, line: str) -> None:
    text = DEMO.replace('sheet = "demo-copper-epoxy-a.toml"', line)
    assert text != DEMO
    found = server.keeper().post(f"/jobs/{demo_job}/sheet/check", json={"toml": text}).json()["problems"]
    assert any("lies with the job" in one["allowed"] for one in found)


@pytest.mark.parametrize("name", ["weather.csv", "coatings/my sheet.toml", "a/b/c.json"])
def test_names_of_files_that_are_taken(name: str) -> None:
    assert good_name(name)


@pytest.mark.parametrize(
    "name",
    ["", "/etc/x", "../x", "a/../x", "a/./x", ".x", "a/.x", "a//x", "x/", "a\\x", "a\nb", "C:/x", "a/b/c/d", "x."],
)
def test_names_of_files_that_are_not(name: str) -> None:
    assert not good_name(name)


def test_a_product_sheet_is_edited(server: Running) -> None:
    job = make_new(server.house, "Mine")
    keeper, path = server.keeper(), f"/jobs/{job}/product/coatings/demo-copper-epoxy-a.toml"
    assert 'value="70 um"' in keeper.get(path).text
    assert keeper.post(path, data={"film.dry_film": "3 mil"}).status_code == 303
    assert 'value="3 mil"' in keeper.get(path).text
    check = keeper.post(f"/jobs/{job}/product/check/coatings/demo-copper-epoxy-a.toml",
                        json={"fields": {"film.dry_film": "3", "times.tacky": "50 min"}})  # fmt: skip
    assert {one["key"] for one in check.json()["problems"]} == {"film.dry_film", "times.tacky"}


def _sent(keeper: httpx.Client, path: str, files: dict[str, bytes], **data: str) -> httpx.Response:
    return keeper.post(path, data=data, files=[("files", (name, content)) for name, content in files.items()])


def test_a_job_is_brought_in_and_taken_out(server: Running) -> None:
    keeper, files = server.keeper(), dict(demo_files())
    files["marsh-wren.toml"] = files.pop("job.toml")
    answer = _sent(keeper, "/new-job", files, what="import", name="Brought in")
    assert answer.status_code == 303
    path = answer.headers["location"]
    assert keeper.get(f"{path}.toml").content == demo_files()["job.toml"]
    assert "to put right" not in keeper.get(path).text
    assert keeper.get(path.replace("/sheet", "/documents/weather.csv")).content == files["weather.csv"]


def test_a_product_sheet_that_was_left_out_is_told_at_its_field_with_what_to_do_on_the_page(server: Running) -> None:
    own = demo_files()["job.toml"].replace(b'"demo-copper-epoxy-a.toml"', b'"mine.toml"')
    answer = _sent(server.keeper(), "/new-job", {"job.toml": own}, what="import", name="Without its paint")
    page = server.keeper().get(answer.headers["location"]).text
    assert "mine.toml&#39;, no such file" in page
    assert "bring it in on the Job page, under Files of this job" in page
    assert "boottop new" not in page


@pytest.mark.parametrize("what", ["", "demonstration"])
def test_no_job_is_made_of_what_is_not_offered(server: Running, what: str) -> None:
    keeper, before = server.keeper(), len(server.house.store.jobs.all())
    answer = keeper.post("/new-job", data={"what": what, "name": "x"})
    assert answer.status_code == 422
    assert "demo, new or import" in answer.text
    assert len(server.house.store.jobs.all()) == before


def test_files_without_one_sheet_are_refused(server: Running) -> None:
    answer = _sent(server.keeper(), "/new-job", {"weather.csv": b"x"}, what="import", name="x")
    assert answer.status_code == 422
    assert "one job sheet" in answer.text


def test_a_file_is_brought_in_as_a_newer_version_and_taken_away(server: Running, demo_job: str) -> None:
    keeper, path = server.keeper(), f"/jobs/{demo_job}/documents"
    assert _sent(keeper, path, {"weather.csv": b"invented"}).status_code == 303
    assert keeper.get(f"{path}/weather.csv").content == b"invented"
    assert keeper.post(path, data={"remove": "weather.csv"}).status_code == 303
    assert keeper.get(f"{path}/weather.csv").status_code == 404
    assert keeper.post(path, data={"remove": "job.toml"}).status_code == 303
    assert keeper.get(f"/jobs/{demo_job}/sheet.toml").content == demo_files()["job.toml"]
