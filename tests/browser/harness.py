"""JupyterLab in a headless Chromium: start a server on a copy of the notebooks, open one, run it, look at it.

Nothing here knows what the notebooks compute. The server gets its own configuration, data and workspace
folders, so that neither the user's settings nor an earlier run can change what is seen. JupyterLab's news
and update look-ups are switched off, so that no page asks for anything outside this machine.
"""

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

ROOT = Path(__file__).resolve().parents[2]
BROWSER_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
BROWSER_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
)
NO_NEWS = {"disabledExtensions": {"@jupyterlab/apputils-extension:announcements": True}}
PANEL_NOTEBOOKS = tuple(sorted(path.name for path in (ROOT / "notebooks").glob("0[1-7]*.ipynb")))
PANEL = ".pm-panel:not(.pm-stored)"  # the live one, not the table stored above it
PATIENCE = 120_000  # [ms]; a busy machine is slow, not broken
RESTED = 320  # [ms] after which the kernel has begun with what waits for a hand at rest
LOCAL_HOSTS = {"127.0.0.1", "localhost", ""}

KERNEL_IS_IDLE = """() => {
    const panel = window.jupyterapp?.shell?.currentWidget;
    return Boolean(panel?.context?.isReady && panel.sessionContext?.session?.kernel?.status === 'idle');
}"""
RUN_ALL = "async () => { await window.jupyterapp.commands.execute('notebook:run-all-cells'); }"
TO_TOP = "() => document.querySelectorAll('.jp-WindowedPanel-outer').forEach(page => page.scrollTo(0, 0))"
FIRST_CODE_CELL = """() => {
    const notebook = window.jupyterapp.shell.currentWidget.content;
    notebook.activeCellIndex = notebook.widgets.findIndex(cell => cell.model.type === 'code');
    notebook.activate();
}"""
TOP_IS_SHOWN = """panel => {
    const first = document.querySelector('.jp-Notebook [data-windowed-list-index="0"]');
    const verdicts = [...document.querySelectorAll(`${panel} .pm-verdict`)];
    return Boolean(first?.innerText.trim()) && verdicts.every(node => node.innerText.trim());
}"""
CLEAR_FIRST = """() => {
    const cells = window.jupyterapp.shell.currentWidget.content.widgets;
    cells.find(cell => cell.model.type === 'code').outputArea.model.clear();
}"""
END_KERNEL = "async () => { await window.jupyterapp.shell.currentWidget?.sessionContext?.shutdown(); }"
# Wait until panel and kernel are at rest: every message answered, nothing new said or shown for `rest` ms, and then one
# more message answered on either way of the kernel. Messages and timers of one way take their turn, so what was due
# by then is done, however slow the machine; that the kernel is idle would say that between any two messages.
AT_REST = """async ([panel, rest, patience]) => {
    const pause = time => new Promise(done => setTimeout(done, time));
    const frame = () => new Promise(done => requestAnimationFrame(done));
    const watched = kernel => {
        if (window.kernelTraffic?.kernel === kernel) return window.kernelTraffic;
        const seen = window.kernelTraffic = {kernel, open: new Set(), probes: new Set(), last: performance.now()};
        const news = () => (seen.last = performance.now());
        kernel.anyMessage.connect((_, {msg, direction}) => {
            const about = msg.parent_header?.msg_id, own = direction === 'send' && msg.channel === 'shell';
            if (own && seen.probing) seen.probes.add(msg.header.msg_id);
            else if (own) seen.open.add(msg.header.msg_id);
            if (msg.header.msg_type === 'status' && msg.content.execution_state === 'idle') seen.open.delete(about);
            if (!seen.probes.has(own ? msg.header.msg_id : about)) news();
        });
        kernel.statusChanged.connect((_, status) => /restarting|dead/.test(status) && seen.open.clear());
        new MutationObserver(all => all.some(({target}) => target.closest?.(panel)) && news()).observe(
            document.body, {childList: true, subtree: true});
        return seen;
    };
    const asked = (kernel, seen) => {
        seen.probing = true;
        const comm = [...(kernel._comms?.values() ?? [])].find(comm => !comm.isDisposed);
        const answers = [kernel.requestKernelInfo(), comm?.send({method: 'custom', content: {}}).done];
        seen.probing = false;
        return Promise.all(answers);
    };
    for (const end = performance.now() + patience; performance.now() < end; ) {
        const kernel = window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel;
        if (!kernel) { await pause(50); continue; }
        const seen = watched(kernel), wait = seen.last + rest - performance.now();
        if (wait > 0 || seen.open.size) { await pause(Math.max(wait, 10)); continue; }
        const last = seen.last;
        await asked(kernel, seen);
        await frame();
        await frame();
        if (seen.last === last && !seen.open.size) return;
    }
    throw new Error('panel and kernel did not come to rest');
}"""
ERROR_OUTPUTS = """() => {
    const found = [];
    for (const cell of window.jupyterapp.shell.currentWidget.content.widgets) {
        const outputs = cell.model.sharedModel.outputs ?? [];
        for (const output of outputs)
            if (output.output_type === 'error') found.push(output.ename + ': ' + output.evalue);
    }
    return found;
}"""
PAGE_HEIGHT = """() => {
    const inner = [...document.querySelectorAll('.jp-WindowedPanel-inner, .jp-WindowedPanel-viewport')];
    return Math.max(0, ...inner.map(node => node.scrollHeight));
}"""


def find_browser():
    """Path of a Chromium on this machine, or None."""
    return next((path for path in map(shutil.which, BROWSER_NAMES) if path), None)


@dataclass(frozen=True)
class LabServer:
    """A running server: `folder` is the copy it serves, `url` its address without the token."""

    folder: Path
    url: str
    token: str

    def address(self, notebook, app=False):
        """Address of one notebook, full workspace or (app) the single clean document."""
        kind = "doc" if app else "lab"
        return f"{self.url}/{kind}/tree/{notebook}?token={self.token}&reset"


@dataclass
class Watch:
    """What a page did that it should not: errors thrown, and requests that left this machine."""

    errors: list = field(default_factory=list)
    outside: list = field(default_factory=list)

    def follow(self, page):
        page.on("pageerror", lambda error: self._take(str(error)))
        page.on("request", lambda request: self._note(request.url))
        page.on("websocket", lambda socket_: self._note(socket_.url))

    def _take(self, words):
        """Note an error; not that a request was left unanswered by a kernel that was ended, as these tests end them."""
        if "Canceled future" not in words:
            self.errors.append(words)

    def taken(self):
        """Errors and requests since this was last asked."""
        taken, self.errors, self.outside = (self.errors, self.outside), [], []
        return taken

    def _note(self, url):
        parts = urlsplit(url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.hostname not in LOCAL_HOSTS:
            self.outside.append(url)


def _free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _server_environment(home):
    folders = {
        name: home / name.lower()
        for name in (
            "JUPYTER_CONFIG_DIR",
            "JUPYTER_DATA_DIR",
            "JUPYTER_RUNTIME_DIR",
            "JUPYTERLAB_SETTINGS_DIR",
            "JUPYTERLAB_WORKSPACES_DIR",
            "IPYTHONDIR",
        )
    }
    for path in folders.values():
        path.mkdir(parents=True)
    labconfig = folders["JUPYTER_CONFIG_DIR"] / "labconfig"
    labconfig.mkdir()
    (labconfig / "page_config.json").write_text(json.dumps(NO_NEWS))
    threads = {name: "1" for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")}
    return os.environ | {name: str(path) for name, path in folders.items()} | threads


def _wait_until_up(url, token, process, log, patience=60.0):
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{url}/api/status?token={token}", timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise RuntimeError("the Jupyter server did not come up; its log says:\n" + log.read_text()[-3000:])


def _stop(process):
    """End the server and its kernels: they share a process group of their own."""
    for how in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, how)
        except ProcessLookupError:
            return
        try:
            process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            continue


@contextmanager
def lab_server(scratch, notebooks=ROOT / "notebooks"):
    """Serve a copy of the folder `notebooks` from below the (empty) folder `scratch`; yield a LabServer."""
    folder = Path(scratch) / "served"
    shutil.copytree(notebooks, folder, ignore=shutil.ignore_patterns(".ipynb_checkpoints", "out"))
    port, token = _free_port(), secrets.token_hex(16)
    log = Path(scratch) / "server.log"
    command = [
        sys.executable,
        "-m",
        "jupyter",
        "lab",
        "--allow-root",
        "--no-browser",
        "--ip=127.0.0.1",
        f"--port={port}",
        "--ServerApp.port_retries=0",
        f"--IdentityProvider.token={token}",
        "--LabApp.expose_app_in_browser=True",
        f"--ServerApp.root_dir={folder}",
    ]
    with log.open("w") as sink:
        process = subprocess.Popen(
            command,
            stdout=sink,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
            env=_server_environment(Path(scratch) / "home"),
            start_new_session=True,
        )
    try:
        url = f"http://127.0.0.1:{port}"
        _wait_until_up(url, token, process, log)
        yield LabServer(folder, url, token)
    finally:
        _stop(process)


@contextmanager
def browser_context(width=1440, height=1000, dark=False):
    """A browser window of the given size in CSS pixels, in the light or dark colour scheme."""
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as driver:
        hidden = ["--hide-scrollbars"]  # readers see them, and what is too wide for them
        browser = driver.chromium.launch(
            executable_path=find_browser(), args=list(BROWSER_FLAGS), ignore_default_args=hidden
        )
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light", accept_downloads=True
        )
        context.set_default_timeout(PATIENCE)
        try:
            yield context
        finally:
            context.close()
            browser.close()


def open_notebook(context, server, notebook, app=False, watch=None):
    """Open a notebook in a new page and wait until its kernel is idle."""
    page = context.new_page()
    if watch is not None:
        watch.follow(page)
    page.goto(server.address(notebook, app))
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=PATIENCE)
    page.wait_for_function(KERNEL_IS_IDLE, timeout=PATIENCE)
    return page


def run_all(page):
    """Run every cell and go back to the top, where the panel is: the last cell is in view by then, and what is out of
    view has no text. Return the errors among the outputs, as texts."""
    page.evaluate(RUN_ALL)
    page.wait_for_function(KERNEL_IS_IDLE, timeout=PATIENCE)
    page.evaluate(TO_TOP)
    settle(page)
    page.wait_for_function(TOP_IS_SHOWN, arg=PANEL)
    return page.evaluate(ERROR_OUTPUTS)


def run_first(page):
    """Press Shift+Enter on the first cell with code, which brings the panel to life; return errors as `run_all`."""
    page.evaluate(FIRST_CODE_CELL)
    page.keyboard.press("Shift+Enter")
    page.wait_for_selector(f"{PANEL} .pm-checks td", state="attached")
    settle(page)
    return page.evaluate(ERROR_OUTPUTS)


def run_first_again(page):
    """A new panel in the place of the one that stands there; return errors as `run_all`."""
    page.evaluate(CLEAR_FIRST)
    page.wait_for_function("panel => !document.querySelector(panel)", arg=PANEL)
    return run_first(page)


def open_folds(page):
    """Open everything that is folded away in the panel, folds inside folds too."""
    shut = page.locator(f"{PANEL} .pm-fold[aria-expanded=false]:visible")
    while shut.evaluate_all("buttons => buttons.map(button => button.click()).length"):
        settle(page, 60)
    page.locator(f"{PANEL} details").evaluate_all("all => all.forEach(details => { details.open = true; })")


def each_view(page):
    """Show one view of the panel after the other; yields their names, or nothing to show once where there are none."""
    names = page.locator(f"{PANEL} .pm-question button").all_inner_texts()
    for name in names:
        button = page.locator(f"{PANEL} .pm-question button", has_text=name).first
        button.click()
        page.wait_for_selector(f"{PANEL} .pm-question button.mod-active:text-is('{name}')")
        settle(page)
        for coming in (".pm-stop-choosing", ".pm-framed:text('Stop')"):  # rows of a choice, sheets of a map
            page.wait_for_selector(f"{PANEL} {coming}", state="hidden", timeout=PATIENCE)
        settle(page)
        yield name
    if not names:
        yield ""


def settle(page, rest=RESTED):
    """Wait until what was done has gone to the kernel and come back, what follows at rest too; with a shorter `rest`
    [ms] not that."""
    page.evaluate(AT_REST, [PANEL, rest, PATIENCE])


def use_theme(page, dark=True):
    """JupyterLab's dark theme, or its light one."""
    theme = "JupyterLab Dark" if dark else "JupyterLab Light"
    page.evaluate(
        "async (theme) => { await window.jupyterapp.commands.execute('apputils:change-theme', {theme}); }", theme
    )
    page.wait_for_selector(f"body[data-jp-theme-light='{'false' if dark else 'true'}']", state="attached")


def slider(page, name):
    """The handle of the slider with CSS class `pm-<name>`."""
    return page.locator(f".pm-{name} [role=slider]").first


def press_on_slider(page, name, key="ArrowRight", times=1):
    """Move a slider by keyboard, as a user without a mouse would; return its value text before and after."""
    handle = slider(page, name)
    handle.scroll_into_view_if_needed()
    before = handle.get_attribute("aria-valuetext")
    handle.focus()
    for _ in range(times):
        page.keyboard.press(key)
    return before, handle.get_attribute("aria-valuetext")


def wait_until(page, selector, what, comparison, text):
    """Wait until a part of the page reads (`===`) or no longer (`!==`) as `text`; `what`: innerText or innerHTML."""
    page.wait_for_function(
        f"([where, text]) => document.querySelector(where).{what} {comparison} text", arg=[selector, text]
    )


def tall_screenshot(page, path, limit=16_000):
    """Picture of the whole notebook in one piece: grow the window to the length of the page first."""
    size = page.viewport_size
    for _ in range(3):  # a longer window lets more cells show, which lengthens the page
        height = min(limit, max(size["height"], int(page.evaluate(PAGE_HEIGHT)) + 160))
        page.set_viewport_size({"width": size["width"], "height": height})
        page.wait_for_timeout(300)
    page.screenshot(path=str(path))
    page.set_viewport_size(size)
