"""Under the own certificate a phone keeps the round; else it says that it cannot.

Chromium takes no root by its command line. It is told the public key of the signer
instead, which makes the chain as good to it as a root that a phone trusts.
"""

from base64 import b64encode
from datetime import UTC, datetime
from hashlib import sha256

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Error, expect

from arbuscula.web.certificate import certified
from tests.browser.served import ARGUMENTS, CHROMIUM, PLAIN_NAME, Served

pytestmark = pytest.mark.browser
STRANGE = "ERR_CERT_AUTHORITY_INVALID"


@pytest.fixture
def shown(tmp_path):
    now = datetime.now(UTC)  # noqa: TID251 - the browser has no other
    return certified(tmp_path / "home", [PLAIN_NAME], now)


@pytest.fixture
def secured(desk, shown):
    served = Served(desk, hosts=frozenset({PLAIN_NAME}), certificate=shown.server)
    yield served
    served.stop()


@pytest.fixture
def trusting(playwright, shown):
    """A phone that trusts the signer."""
    _, signer = x509.load_pem_x509_certificates(shown.server.read_bytes())
    spki = signer.public_key().public_bytes(
        Encoding.DER, PublicFormat.SubjectPublicKeyInfo
    )
    known = b64encode(sha256(spki).digest()).decode()
    browser = playwright.chromium.launch(
        executable_path=CHROMIUM,
        args=[*ARGUMENTS, f"--ignore-certificate-errors-spki-list={known}"],
    )
    yield browser.new_context(**playwright.devices["Pixel 7"]).new_page()
    browser.close()


def test_who_trusts_it_loads_the_round_without_the_server(secured, trusting):
    page = trusting
    page.goto(secured.at("/round", PLAIN_NAME))
    expect(page.locator("#tier")).to_have_text("Works without a network.")
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.reload()
    page.wait_for_timeout(500)
    secured.stop()
    page.reload()
    expect(page.locator(".pot")).to_have_count(6)
    secured.start()


def test_who_does_not_trust_it_is_warned_before_a_byte_is_shown(secured, phone):
    page = phone.new_page()
    with pytest.raises(Error, match=STRANGE):
        page.goto(secured.at("/round", PLAIN_NAME))


def test_who_goes_on_in_spite_of_the_warning_is_told_to_keep_the_page_open(
    secured, phone
):
    """There a browser registers no service worker, though the page counts as secure."""
    page = phone.new_page()
    page.goto("about:blank")
    page.context.new_cdp_session(page).send(
        "Security.setIgnoreCertificateErrors", {"ignore": True}
    )
    page.goto(secured.at("/round", PLAIN_NAME))
    keeps = page.evaluate(
        "navigator.serviceWorker.register('/sw.js').then(() => true, () => false)"
    )
    told = "Works without a network." if keeps else "keep this page open"
    expect(page.locator("#tier")).to_contain_text(told)
    assert not keeps
