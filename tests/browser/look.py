"""Look at a notebook as a reader sees it: run all its cells in a headless browser and save pictures.

    python tests/browser/look.py notebooks/01_bend.ipynb --out out/look
    python tests/browser/look.py notebooks/01_bend.ipynb --out out/look --width 1280 --dark --app
    python tests/browser/look.py notebooks/01_bend.ipynb --out out/look --press spacer_diameter:ArrowRight:10
    python tests/browser/look.py notebooks/04_matched_pairs.ipynb --out out/look --app --views --height 1800
    python tests/browser/look.py out/leeboard/note.html --out out/look        (any HTML or SVG file, too)

Saves <name>.png (the whole page in one tall picture), the same cut into screenfuls <name>-part1.png, ...
where it is long, <name>-screen.png (the first screenful) and, where it has a panel (class pm-panel),
<name>-panel.png. With --views instead one screenful for each view of the panel, <name>-view1.png, ... Ends with
1 if a cell failed, the page threw an error or asked for something outside this machine.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import harness
from PIL import Image

PART = 1400  # height of one part of a long page [pixels]


def arguments(words=None):
    parser = argparse.ArgumentParser(description="Save pictures of a notebook run in a headless browser.")
    parser.add_argument("notebook", type=Path, help="notebook, or an HTML or SVG file")
    parser.add_argument("--out", type=Path, required=True, help="folder for the pictures")
    parser.add_argument("--width", type=int, default=1440, help="window width in pixels")
    parser.add_argument("--height", type=int, default=1000, help="window height in pixels")
    parser.add_argument("--dark", action="store_true", help="dark theme")
    parser.add_argument("--app", action="store_true", help="single document, code folded where a cell says so")
    parser.add_argument(
        "--press",
        action="append",
        default=[],
        metavar="FIELD:KEY[:TIMES]",
        help="after running, press a key on the slider of class pm-FIELD; may be repeated",
    )
    parser.add_argument(
        "--click",
        action="append",
        default=[],
        metavar="NAME",
        help="after running, click the button of class pm-NAME; may be repeated",
    )
    parser.add_argument("--views", action="store_true", help="only the panel's views, one screenful each")
    return parser.parse_args(words)


def stem(options):
    marks = [str(options.width)] + ["dark"] * options.dark + ["app"] * options.app
    return "-".join([options.notebook.stem, *marks])


def act(page, options):
    """Press and click as asked, in the order given within each kind."""
    for wish in options.press:
        name, key, *times = wish.split(":")
        print(name, *harness.press_on_slider(page, name, key, int(times[0]) if times else 1))
    for name in options.click:
        page.locator(f"button.pm-{name}").first.click()
    if options.press or options.click:
        page.wait_for_function(harness.KERNEL_IS_IDLE)
        page.wait_for_timeout(500)


def cut_in_parts(base):
    with Image.open(f"{base}.png") as whole:
        width, height = whole.size
        for number in range(-(-height // PART) if height > PART else 0):
            box = (0, number * PART, width, min(height, (number + 1) * PART))
            whole.crop(box).save(f"{base}-part{number + 1}.png")


def save_views(page, options):
    """A screenful for each question the panel answers (class pm-question), from the row of questions down."""
    buttons = page.locator(".pm-question button")
    for number in range(buttons.count()):
        buttons.nth(number).click()
        page.wait_for_timeout(3000)  # views are worked out when the hand has rested
        page.wait_for_function(harness.KERNEL_IS_IDLE)
        page.locator(".pm-question").first.evaluate("row => row.scrollIntoView({block: 'start'})")
        page.wait_for_timeout(500)
        page.screenshot(path=options.out / f"{stem(options)}-view{number + 1}.png")


def save_pictures(page, options):
    base = options.out / stem(options)
    page.screenshot(path=f"{base}-screen.png")
    harness.tall_screenshot(page, f"{base}.png")
    cut_in_parts(base)
    panel = page.locator(harness.PANEL).first
    if panel.count():
        panel.scroll_into_view_if_needed()
        panel.screenshot(path=f"{base}-panel.png")
    print(*sorted(path.name for path in options.out.glob(f"{stem(options)}*.png")))


def look_at_notebook(context, options, watch):
    with (
        tempfile.TemporaryDirectory() as scratch,
        harness.lab_server(scratch, options.notebook.resolve().parent) as server,
    ):
        page = harness.open_notebook(context, server, options.notebook.name, options.app, watch)
        if options.dark:
            harness.use_theme(page, dark=True)
        errors = harness.run_all(page)
        if not options.app:
            page.evaluate(
                "async () => { const app = window.jupyterapp; if (!app.shell.leftCollapsed)"
                " await app.commands.execute('application:toggle-left-area'); }"
            )
        act(page, options)
        (save_views if options.views else save_pictures)(page, options)
        page.close()
    return errors


def look_at_file(context, options, watch):
    page = context.new_page()
    watch.follow(page)
    if options.notebook.suffix == ".svg":  # a bare SVG makes no page that can be photographed
        page.set_content(options.notebook.read_text(encoding="utf-8"))
    else:
        page.goto(options.notebook.resolve().as_uri())
    base = options.out / stem(options)
    page.screenshot(path=f"{base}.png", full_page=True)
    cut_in_parts(base)
    return []


def main(words=None):
    options = arguments(words)
    if harness.find_browser() is None:
        sys.exit("no Chromium found; install one, e.g. the Debian package `chromium`")
    options.out.mkdir(parents=True, exist_ok=True)
    watch = harness.Watch()
    look = look_at_notebook if options.notebook.suffix == ".ipynb" else look_at_file
    with harness.browser_context(options.width, options.height, options.dark) as context:
        failures = look(context, options, watch)
    failures += [f"page error: {text}" for text in watch.errors]
    failures += [f"left this machine: {url}" for url in watch.outside]
    print(*failures, sep="\n", end="\n" if failures else "")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
