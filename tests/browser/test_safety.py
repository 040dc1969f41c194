"""The server talks to this computer alone and takes in no more than it should."""

from served import listening

LARGE = b"#" * (3 << 20)


def test_the_server_listens_on_loopback_alone(served):
    addresses = listening(served.port)
    if addresses is None:  # no Linux
        return
    loopback = {"0100007F", "00000000000000000000000001000000"}
    assert addresses
    assert set(addresses) <= loopback


def test_a_file_above_the_bound_is_refused_by_the_page_and_by_the_server(tab, bench):
    # A browser tells of a refused request as an error.
    maker = tab(strict=False).open(bench, "files")
    chooser = maker.page.locator("input[type=file]").first
    with maker.page.expect_request(lambda request: request.method == "PUT") as sent:
        chooser.set_input_files(_file("small.toml", b"# nothing"))
    maker.sees("small.toml")
    chooser.set_input_files(_file("large.toml", LARGE))
    maker.sees("must be")
    headers = {
        name: value
        for name, value in sent.value.all_headers().items()
        if name.startswith("x-") or name == "cookie"
    }
    large = {"file": _file("large.toml", LARGE)}
    answer = maker.page.request.put(sent.value.url, headers=headers, multipart=large)
    assert answer.status in (400, 413)
    small = {"file": _file("small.toml", b"# nothing")}
    assert maker.page.request.put(sent.value.url, headers=headers, multipart=small).ok
    assert not (maker.served.folder / "large.toml").exists()


def test_a_design_that_is_too_large_to_be_one_says_so(maker, bench):
    maker.open(bench, "files")
    maker.page.locator("input[type=file]").first.set_input_files(_file("long.toml", b"#" * 300_000))
    maker.press("Put it in the folder")
    maker.sees("is larger than 200 kB")
    assert not (maker.served.folder / "long.toml").exists()


def _file(name, data):
    return {"name": name, "mimeType": "text/plain", "buffer": data}
