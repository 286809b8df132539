"""Another website in the same browser cannot make the page work."""

from __future__ import annotations

import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from climrisk.web.job_queue import JobQueue
from climrisk.web.settings import Settings
from tests.page.conftest import served
from tests.page.waiting import seen

pytestmark = pytest.mark.browser
PAGE = """<!doctype html><title>evil</title>
{images}
<iframe src="{url}/check?plant=Vanda&demo=1&years=2"></iframe>
<link rel="prefetch" href="{url}/check?plant=Vanda&demo=1&years=3">
<a href="{url}/check?plant=Masdevallia&demo=1&years=2&members=1">look</a>
<script>
fetch("{url}/check.json?plant=Vanda&demo=1&years=4", {{mode: "no-cors"}});
fetch("{url}/check.json?plant=Vanda&demo=1&years=5").catch(() => 0);
</script>"""


def test_a_website_starts_no_work_until_its_visitor_clicks(
    chromium, tmp_path, monkeypatch
):
    tasks = []
    ask = JobQueue.submit

    def counted(self, task):
        tasks.append(dict(task.options)["plant"])
        return ask(self, task)

    monkeypatch.setattr(JobQueue, "submit", counted)
    with served(Settings(logs=tmp_path)) as url:
        images = "".join(
            f'<img src="{url}/check.json?plant=Vanda&demo=1&years={n}">'
            for n in range(6, 26)
        )
        body = PAGE.format(url=url, images=images).encode()

        class Evil(BaseHTTPRequestHandler):
            def do_GET(self):
                self.send_response(200)
                self.send_header("Content-Type", "text/html")
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        with HTTPServer(("127.0.0.1", 0), Evil) as evil:
            threading.Thread(target=evil.serve_forever, daemon=True).start()
            context = chromium.new_context()
            page = context.new_page()
            page.goto(f"http://localhost:{evil.server_port}/", wait_until="networkidle")
            assert tasks == []
            page.click("text=look")
            seen(page, "text=Another website opened this page")
            assert tasks == []
            page.click("text=Open the page")
            seen(page, ".sheet", 90_000)
            assert set(tasks) == {"Masdevallia"}
            context.close()
            evil.shutdown()
