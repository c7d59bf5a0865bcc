"""The log's page: other work written down there counts as done; a wrong name of a button is refused."""

from __future__ import annotations

from tests.web.serving import Running


def test_other_work_is_written_down_on_the_log_s_page(server: Running) -> None:
    page = server.paired("hand").post(f"/jobs/{server.job}/log/work", data={"work": " anodes "}, follow_redirects=True)
    assert page.status_code == 200
    assert "Other work done" in page.text
    assert [one.name for one in server.house.ledger.state(server.job).work] == ["anodes"]


def test_nothing_is_no_work(server: Running) -> None:
    page = server.paired("hand").post(f"/jobs/{server.job}/log/work", data={"work": "  "})
    assert page.status_code == 422
    assert "data.work" in page.text
    assert server.house.ledger.state(server.job).work == ()


def test_a_guest_reads_only(server: Running) -> None:
    guest = server.paired("guest")
    assert guest.post(f"/jobs/{server.job}/log/work", data={"work": "anodes"}).status_code == 403
    assert "Other work done" not in guest.get(f"/jobs/{server.job}/log").text
