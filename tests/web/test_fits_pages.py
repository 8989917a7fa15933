"""Pages of what fits, of the fruit and of the year, on the demo garden."""

from __future__ import annotations

import re
import time
import xml.etree.ElementTree as ET
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

PATHS = (
    "/fits", "/fits?scion=Washington&tree=T02", "/fits?scion=Eureka&chain=Carrizo", "/fits?tree=T04",
    "/fits?scion=Eureka+lemon", "/fits?scion=Lisbon&chain=%3F", "/fruit", "/fruit?scion=Washington&tree=T01",
    "/fruit?scion=Owari&chain=Carrizo&against=Volkamer", "/ripe",
)  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_pages_stand(reader: TestClient, path: str) -> None:
    """One head, no id twice, every field with its label, drawings well-formed, nothing inline, a print form."""
    answer = reader.get(path)
    assert answer.status_code == 200
    text = answer.text
    assert text.count("<h1") == 1
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    fields = set(re.findall(r'<(?:input|select)[^>]* id="(f-[^"]+)"', text))
    assert fields <= set(re.findall(r'<label for="([^"]+)"', text))
    assert "style=" not in text and "onclick" not in text
    for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL):
        ET.fromstring(svg)
    assert "/static/fits.css" in text


@pytest.mark.parametrize("path", PATHS)
def test_pages_are_quick(reader: TestClient, path: str) -> None:
    reader.get(path)
    took = []
    for _ in range(3):
        start = time.perf_counter()
        reader.get(path)
        took.append(time.perf_counter() - start)
    assert min(took) < 0.3  # 0.1 s is meant; a test machine at work is slower


def test_the_verdict_has_a_shape_and_a_word(reader: TestClient) -> None:
    text = reader.get("/fits?scion=Eureka&chain=Carrizo").text
    assert '<svg class="fit fit-recorded_bad"' in text
    assert "<title>recorded bad</title>" in text
    assert "recorded as a bad fit.</h1>" in text
    assert "A look never tells one from the other" in text


def test_a_tree_leads_to_what_fits(reader: TestClient) -> None:
    assert 'href="/fits?tree=T02"' in reader.get("/trees/T02").text


def test_a_table_leads_to_each_answer(reader: TestClient) -> None:
    text = reader.get("/fits?tree=T02").text
    assert "0 of 83 varieties are recorded good" in text
    links = re.findall(r'href="(/fits\?tree=T02&amp;scion=[^"]+)"', text)
    assert len(links) == 83
    assert reader.get(links[0].replace("&amp;", "&")).status_code == 200


def test_a_wrong_name_keeps_the_form(reader: TestClient) -> None:
    answer = reader.get("/fits?scion=Eurekka&chain=Carrizo")
    assert answer.status_code == 422
    assert "nearest: &#39;Eureka&#39; lemon" in answer.text
    assert 'value="Eurekka"' in answer.text
    data = reader.get("/fits?scion=Eurekka&chain=Carrizo&as=json")
    assert data.json()["error"]["field"] == "scion"


def test_the_same_as_json(reader: TestClient) -> None:
    assert reader.get("/fits?scion=Eureka&chain=Carrizo&as=json").json()["verdict"] == "recorded_bad"
    assert len(reader.get("/fruit?scion=Owari&chain=Carrizo&as=json").json()["stocks"]) == 1
    assert reader.get("/ripe?as=json").json()["south"] is True


def test_the_year_is_drawn_for_phone_and_desk_with_a_table(reader: TestClient) -> None:
    text = reader.get("/ripe").text
    assert re.findall(r'class="chart year"[^>]*viewBox="0 0 (\d+)', text) == ["328", "860"]
    assert "The year as a table" in text
    assert "The pollen partner explains it" in text


def test_fruit_says_what_counts_and_what_not(reader: TestClient) -> None:
    text = reader.get("/fruit?scion=Washington&tree=T01&against=Carrizo").text
    for words in ("A stock moves sugar little", "too early to count", "cannot tell", "What the root stands",
                  "sources differ", "Source by source"):  # fmt: skip
        assert words in text
    assert "Owari" not in text
    other = quote("'Owari' satsuma")
    assert reader.get(f"/fruit?scion={other}&tree=T12").status_code == 200
