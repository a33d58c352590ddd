"""From a key to the picture, in a real browser: the time from a press of an arrow key on the spacer's handle to the
changed section picture, and from opening the page to the first answer. Wanted: 50 ms median, 100 ms at 95 %; 15 s.

    .venv/bin/python tests/benchmarks/bench_keypress.py [NOTEBOOK]
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
import harness

PRESSES = 30
NOTE_TIMES = """panel => {
    window.delays = [];
    const handle = panel.querySelector('.pm-spacer_diameter [role=slider]');
    let pressed = null;
    handle.addEventListener('keydown', () => (pressed = performance.now()), true);
    new MutationObserver(() => {
        if (pressed === null) return;
        const from = pressed;
        pressed = null;
        requestAnimationFrame(() => window.delays.push(performance.now() - from));
    }).observe(panel.querySelector('.pm-picture'), {childList: true, subtree: true, attributes: true});
}"""


def main(notebook="01_bend.ipynb"):
    with (
        tempfile.TemporaryDirectory() as scratch,
        harness.lab_server(scratch) as server,
        harness.browser_context() as context,
    ):
        began = time.perf_counter()
        page = harness.open_notebook(context, server, notebook)
        opened = time.perf_counter()
        harness.run_first(page)
        answered = time.perf_counter()
        page.locator(harness.PANEL).first.evaluate(NOTE_TIMES)
        for number in range(PRESSES):
            harness.press_on_slider(page, "spacer_diameter", "ArrowRight" if number % 10 < 5 else "ArrowLeft")
            page.wait_for_function("count => window.delays.length >= count", arg=number + 1)
            page.wait_for_timeout(400)  # the hand rests: what is slower follows
        delays = sorted(page.evaluate("window.delays"))
    print(f"{notebook}: page shown {opened - began:.1f} s, first answer {answered - began:.1f} s after opening")
    print(f"key to picture, {len(delays)} presses: median {statistics.median(delays):.0f} ms, "
          f"95 % {delays[int(0.95 * len(delays)) - 1]:.0f} ms, most {delays[-1]:.0f} ms")  # fmt: skip


if __name__ == "__main__":
    main(*sys.argv[1:])
