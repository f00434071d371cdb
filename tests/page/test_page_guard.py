"""Nobody but our own page, opened by who was told the address, gets anything.

What browsers send and heed is in the standards named beside each check.
"""

from __future__ import annotations

import pytest

from support.asgi_client import Refused
from support.page_site import HOST, ORIGIN, PORT


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        f"evil.example:{PORT}",
        "127.0.0.1",
        "127.0.0.1:80",
        f"127.0.0.1:{PORT}.evil.example",
        f"127.0.0.2:{PORT}",
        f"[::]:{PORT}",
        "",
    ],
)
def test_a_foreign_host_is_refused(shared_site, host):
    # A name of somebody else that leads to this machine ("DNS rebinding") shows in Host
    # (RFC 9110, 7.2).
    answer = shared_site.get("/", host=host)
    assert answer.status == 403
    assert b"<title>" not in answer.content


@pytest.mark.parametrize("host", [HOST, f"localhost:{PORT}", f"[::1]:{PORT}", f"LOCALHOST:{PORT}"])
def test_this_machine_is_known_by_its_names(shared_site, host):
    assert shared_site.get("/", host=host).status == 200


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"https://{HOST}", f"http://localhost:{PORT}", ""]
)
def test_a_page_of_somebody_else_is_refused(shared_site, origin):
    # Origin (RFC 6454, 7): scheme, host and port.
    assert shared_site.get("/", origin=origin).status == 403
    with pytest.raises(Refused), shared_site.tab(origin=origin):
        pass


def test_a_socket_without_an_origin_is_refused(shared_site):
    # A browser sends it always (RFC 6455, 4.1, point 8).
    with pytest.raises(Refused), shared_site.tab(origin=None):
        pass


def test_a_socket_for_a_foreign_host_is_refused(shared_site):
    there = f"evil.example:{PORT}"
    with pytest.raises(Refused), shared_site.tab(origin=f"http://{there}", host=there):
        pass


def test_without_the_key_nothing_is_given(shared_site):
    for cookie in (None, f"roundover-{PORT}=guess", f"roundover-{PORT}=", "roundover-1=x; a"):
        for path in ("/", "/main.js", "/?key=", "/?key=guess", "/nothing"):
            answer = shared_site.get(path, cookie=cookie)
            assert answer.status == 403
            assert b"printed in the terminal" in answer.content
        with pytest.raises(Refused), shared_site.tab(cookie=cookie):
            pass


def test_the_address_becomes_a_cookie_that_scripts_and_other_sites_do_not_see(shared_site):
    answer = shared_site.get(f"/?key={shared_site.keys.key}", cookie=None)
    assert (answer.status, answer.headers["location"]) == (303, "/")
    name, *about = answer.headers["set-cookie"].split("; ")
    assert name == shared_site.cookie
    # HttpOnly (RFC 6265, 4.1.2.6); SameSite is in what is to follow it, RFC 6265bis.
    assert {each.lower() for each in about} == {"httponly", "path=/", "samesite=strict"}
    assert shared_site.get("/", cookie=name).status == 200


def test_the_address_for_the_browser_opens_once(shared_site):
    once = shared_site.keys.once()
    assert shared_site.get(f"/?key={once}", cookie=None).status == 303
    assert shared_site.get(f"/?key={once}").status == 303  # the same browser, come back
    assert shared_site.get(f"/?key={once}", cookie=None).status == 403


@pytest.mark.parametrize("path", ["/", "/main.js", "/nothing", "/?key=guess"])
def test_every_answer_has_the_headers_of_caution(shared_site, path):
    headers = shared_site.get(path).headers
    policy = dict(part.split(" ", 1) for part in headers["content-security-policy"].split("; "))
    # Content Security Policy Level 3: what has no directive falls back to default-src; base-uri,
    # form-action and frame-ancestors do not.
    assert policy.pop("default-src") == "'none'"
    assert policy.pop("connect-src") == f"ws://{HOST}"
    assert {policy.pop(key) for key in ("base-uri", "form-action", "frame-ancestors")} == {"'none'"}
    assert set(policy.values()) == {"'self'"}
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert headers["cross-origin-embedder-policy"] == "require-corp"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"
    assert "access-control-allow-origin" not in headers
    assert "server" not in headers


def test_a_refusal_names_no_foreign_host_in_its_policy(shared_site):
    headers = shared_site.get("/", host="evil.example; script-src *").headers
    assert "connect-src 'none'" in headers["content-security-policy"]


@pytest.mark.parametrize(
    "path",
    [
        "/../case.toml",
        "/..%2f..%2fcase.toml",
        "/%2e%2e/app.py",
        "/..\\app.py",
        "/assets/main.js",
        "//etc/passwd",
        "/%2fetc%2fpasswd",
        "/main.js/",
        "/main.js%00.html",
        "/app.py",
        "/live",
    ],
)
def test_there_is_nothing_but_the_listed_files(shared_site, path):
    answer = shared_site.get(path)
    assert answer.status == 404
    assert len(answer.content) < 40


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_pages_are_only_read(shared_site, method):
    assert shared_site.get("/", method).status == 405
    assert shared_site.get("/main.js", method).status == 405


def test_files_have_their_types(shared_site):
    assert shared_site.get("/").headers["content-type"] == "text/html; charset=utf-8"
    assert shared_site.get("/main.js").headers["content-type"] == "text/javascript; charset=utf-8"
    assert shared_site.get("/main.js", "HEAD").status == 200


def test_our_own_page_is_let_in(shared_site):
    with shared_site.tab(origin=ORIGIN) as tab:
        assert tab.begun()["file"] == "case.toml"
