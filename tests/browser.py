"""A real browser without a window, for what only layout can show: Debian's package ``chromium``."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import tempfile
from html import unescape
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
NO_BROWSER = "no chromium here (Debian's package), so the card was not laid out and printed"
CONSOLE = re.compile(r"CONSOLE[:(].*")
A4, LETTER = (210.0, 297.0), (215.9, 279.4)

# what a person would see as a fault: words that leave their box or lie on others, a page that must be pushed sideways
MEASURE = """
<script>
addEventListener("load", () => {
  const whole = document.documentElement;
  const found = {wide: whole.scrollWidth - whole.clientWidth, leaves: [], lies: []};
  for (const one of document.querySelectorAll("body *:not(svg *)"))
    if (one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && getComputedStyle(one).display != "inline")
      found.leaves.push(one.tagName + " " + one.textContent.slice(0, 60));
  for (const svg of document.querySelectorAll("svg")) {
    const paper = svg.getBoundingClientRect();
    const words = [...svg.querySelectorAll("text")].map(one => [one.textContent, one.getBoundingClientRect()]);
    words.forEach(([text, box], number) => {
      if (box.left < paper.left - 1 || box.right > paper.right + 1 || box.top < paper.top - 1 ||
          box.bottom > paper.bottom + 1)
        found.leaves.push(text);
      // a line of type is a little higher than its letters
      const room = .18 * Math.min(box.width, box.height);
      for (const [other, there] of words.slice(0, number))
        if (box.left + room < there.right && there.left + room < box.right &&
            box.top + room < there.bottom && there.top + room < box.bottom)
          found.lies.push(text + " / " + other);
    });
  }
  const told = document.createElement("pre");
  told.id = "measured";
  told.textContent = JSON.stringify(found);
  document.body.append(told);
});
</script>
"""


def _run(*options: str) -> subprocess.CompletedProcess[str]:
    assert CHROMIUM is not None
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as own:
        return subprocess.run(
            [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
             "--disable-background-networking", "--hide-scrollbars", f"--user-data-dir={own}", *options],
            capture_output=True, text=True, encoding="utf-8", timeout=120, check=True,
        )  # fmt: skip


def printed(page: str, paper: tuple[float, float], folder: Path) -> bytes:
    """The page as a PDF on paper of this size in mm."""
    # the page leaves the paper to the printer; here the printer is told
    sized = page.replace("@page {", f"@page {{ size: {paper[0]}mm {paper[1]}mm;")
    assert sized != page
    source, result = folder / "printed.html", folder / "printed.pdf"
    source.write_text(sized, encoding="utf-8")
    _run(f"--print-to-pdf={result}", "--no-pdf-header-footer", source.as_uri())
    return result.read_bytes()


def measured(page: str, width: int, folder: Path) -> tuple[dict[str, Any], list[str]]:
    """What the layout shows in a window of this width in CSS pixels, and every console message."""
    source = folder / "measured.html"
    source.write_text(page.replace("</body>", MEASURE + "</body>"), encoding="utf-8")
    done = _run("--dump-dom", "--enable-logging=stderr", f"--window-size={width},1200", source.as_uri())
    (told,) = re.findall(r'<pre id="measured">(.*?)</pre>', done.stdout, re.DOTALL)
    return json.loads(unescape(told)), CONSOLE.findall(done.stderr)
