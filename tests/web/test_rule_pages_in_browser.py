"""The reading pages and the report of a machine in a real browser: accessibility, keyboard and narrow screens.

Needs Chromium, and the file ``axe.min.js`` of axe-core named by the environment variable ``AXE_CORE``
(``npm install axe-core`` puts it at ``node_modules/axe-core/axe.min.js``).
"""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

BROWSER = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
AXE = os.environ.get("AXE_CORE", "")
PAGES = [
    "/rules", "/rules?q=insulation+resistance", "/rules?q=zyzzyva", "/rules/insulation", "/rules/frame",
    "/rules/insulation/random-wound-minimum", "/rules/sources/common-practice",
]  # fmt: skip

pytestmark = pytest.mark.skipif(BROWSER is None or not Path(AXE).is_file(), reason="needs Chromium and AXE_CORE")

PROBE = """
<script>%s</script>
<script>
axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice']}).then(found => {
  const reached = [...document.querySelectorAll('a[href], input:not([type=hidden]), button, [tabindex]')];
  const outlined = reached.filter(one => { one.focus(); return document.activeElement === one
    && getComputedStyle(one).outlineStyle !== 'none'; });
  document.body.dataset.told = JSON.stringify({
    faults: found.violations.map(one => one.id + ': ' + one.nodes[0].html), passes: found.passes.length,
    reached: reached.length, outlined: outlined.length, wide: document.documentElement.scrollWidth - innerWidth,
  });
});
</script>
"""


def _probe(page: str, folder: Path, width: int) -> dict[str, Any]:
    path = folder / "page.html"
    probe = PROBE % Path(AXE).read_text("utf-8").replace("</script", "<\\/script")
    path.write_text(page.replace("</body>", f"{probe}</body>"))
    assert BROWSER is not None
    told = subprocess.run(
        [
            BROWSER, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder / 'profile'}",
            f"--window-size={width},900", "--virtual-time-budget=20000", "--dump-dom", path.as_uri(),
        ],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    found = re.search(r'data-told="([^"]*)"', told.stdout)
    assert found, told.stderr[-2000:]
    data: dict[str, Any] = json.loads(html.unescape(found[1]))
    return data


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("width", [1000, 500])
def test_page_in_a_browser(http: FlaskClient, tmp_path: Path, path: str, width: int) -> None:
    told = _probe(http.get(path).text, tmp_path, width)
    assert told["faults"] == []
    assert told["passes"] > 20
    assert told["outlined"] == told["reached"] > 0
    assert told["wide"] <= 0


@pytest.mark.parametrize("width", [1000, 500])
def test_report_in_a_browser(http: FlaskClient, tmp_path: Path, width: int) -> None:
    workshop = http.post("/v1/workshops", json={"name": "Tansy Yard Workshop"}).get_json()["id"]
    plate = {
        "workshop": workshop,
        "name": "shaping machine",
        "rated_voltage": "400 V",
        "nameplate": {"power": "2.2 kW"},
    }
    machine = f"/v1/machines/{http.post('/v1/machines', json=plate).get_json()['id']}"
    test = {"between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "instrument": "insulation-tester"}
    items = [{"at": f"2026-0{month}-01T08:00:00Z", "insulation": [test]} for month in range(1, 7)]
    assert http.post(f"{machine}/readings/import", json={"items": items}).status_code == 201
    told = _probe(http.get(f"{machine}/report").text, tmp_path, width)
    assert told["faults"] == []
    assert told["passes"] > 20
    assert told["wide"] <= 0
