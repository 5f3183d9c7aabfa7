"""https by an authority of the grower's own, which speaks for the served names alone.

The reader is OpenSSL, which knows none of our code; its rules are RFC 5280, 4.2.1.10
for names and 6.1 for chains.
"""

import socket
import ssl
import stat
import time
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509 import verification
from cryptography.x509.oid import ExtendedKeyUsageOID

from arbuscula.kinds.said import ArbusculaError
from arbuscula.web import certificate, doors
from arbuscula.web.certificate import certified
from arbuscula.web.serve import address, every
from arbuscula.web.trusting import trusted
from tests.browser.served import Served
from tests.desk.stair import NOW, stair
from tests.web.face import client_of
from tests.web.test_doors import PASSWORD, serve
from tests.web.test_pages import words_of

NAMES = ("192.0.2.7", "stair.test")
APPLES_LIMIT = timedelta(days=825)  # support.apple.com/103769 (HT210176), of 2019
PAGE = "https://stair.test:8710/trust"


@pytest.fixture
def home(tmp_path):
    return tmp_path


def shaken(server, name, *authorities):
    """Return the certificate that a client takes from a server, in memory."""
    front = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    front.load_cert_chain(server)
    back = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    for path in authorities:
        back.load_verify_locations(path)
    pipes = [(ssl.MemoryBIO(), ssl.MemoryBIO()) for _ in range(2)]
    client = back.wrap_bio(*pipes[0], server_hostname=name)
    served = front.wrap_bio(*pipes[1], server_side=True)
    for _ in range(6):
        for end, (_, out), (into, _) in (
            (client, pipes[0], pipes[1]),
            (served, pipes[1], pipes[0]),
        ):
            with suppress(ssl.SSLWantReadError):
                end.do_handshake()
            into.write(out.read())
    return client.getpeercert()


def refused(server, name, *authorities):
    with pytest.raises(ssl.SSLCertVerificationError) as caught:
        shaken(server, name, *authorities)
    return caught.value.verify_message


def now_by_the_clock():
    return datetime.now(UTC)  # noqa: TID251 - OpenSSL has no other


@pytest.fixture
def today(home):
    return certified(home, NAMES, now_by_the_clock())


@pytest.mark.parametrize("name", [*NAMES, "127.0.0.1", "localhost", "::1"])
def test_who_trusts_the_authority_takes_every_name_that_is_served(today, name):
    told = shaken(today.server, name, today.authority)
    assert ("DNS", "stair.test") in told["subjectAltName"]


@pytest.mark.parametrize("name", ["192.0.2.8", "x.stair.test", "bank.example"])
def test_another_name_is_not_this_server(today, name):
    assert "mismatch" in refused(today.server, name, today.authority)


def test_who_does_not_trust_it_refuses(today, home):
    assert "unable to get local issuer" in refused(today.server, "stair.test")
    other = certified(home / "other", NAMES, now_by_the_clock())
    assert refused(today.server, "stair.test", other.authority)


def key_of(home, file):
    return load_pem_private_key((home / "certificate" / file).read_bytes(), None)


def forged(home, name):
    """Return a server's file that a thief makes with what lies in the folder."""
    signer = x509.load_pem_x509_certificate(
        (home / "certificate/signer.pem").read_bytes()
    )
    key, now = ec.generate_private_key(ec.SECP256R1()), now_by_the_clock()
    try:
        names = [x509.IPAddress(ip_address(name))]
    except ValueError:
        names = [x509.DNSName(name)]
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([]))
        .issuer_name(signer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName(names), critical=True)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()),
            critical=False,
        )
        .add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        .sign(key_of(home, "signer.pem"), SHA256())
    )
    path = home / f"forged {name}.pem"
    secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    shown = (made.public_bytes(Encoding.PEM), signer.public_bytes(Encoding.PEM))
    path.write_bytes(secret + b"".join(shown))
    return path


@pytest.mark.parametrize(
    "name", ["bank.example", "192.168.1.1", "8.8.8.8", "2001:db8::1", "test"]
)
def test_a_thief_of_the_folder_can_speak_for_no_other_name(home, today, name):
    said = refused(forged(home, name), name, today.authority)
    assert said == "permitted subtree violation"


def test_a_thief_can_speak_for_the_served_names_hence_keep_the_folder(home, today):
    assert shaken(forged(home, "stair.test"), "stair.test", today.authority)


def test_a_second_reader_keeps_the_bounds_as_well(home, today):
    """The verifier of `cryptography`, written in Rust, shares nothing with OpenSSL."""
    (root,) = x509.load_pem_x509_certificates(today.authority.read_bytes())
    store = verification.Store([root])
    builder = verification.PolicyBuilder().store(store).time(now_by_the_clock())

    def verify(path, name):
        one, above = x509.load_pem_x509_certificates(path.read_bytes())
        return builder.build_server_verifier(x509.DNSName(name)).verify(one, [above])

    assert len(verify(today.server, "stair.test")) == 3
    with pytest.raises(verification.VerificationError):
        verify(forged(home, "bank.example"), "bank.example")


def test_the_key_of_the_authority_lies_nowhere(home, today):
    root = x509.load_pem_x509_certificate(today.authority.read_bytes())
    kept = [
        key_of(home, name).public_key()
        for name in (certificate.SIGNER, certificate.SERVER)
    ]
    assert all(isinstance(key, ec.EllipticCurvePublicKey) for key in kept)
    assert root.public_key() not in kept
    assert b"PRIVATE" not in today.authority.read_bytes()


def test_the_files_are_their_owners_alone(home, today):
    folder = home / certificate.FOLDER
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {p.name for p in folder.iterdir()} == {
        certificate.AUTHORITY,
        certificate.SIGNER,
        certificate.SERVER,
    }
    assert {stat.S_IMODE(p.stat().st_mode) for p in folder.iterdir()} == {0o600}


def test_what_must_be_critical_is(home, today):
    """RFC 5280: 4.2.1.3, 4.2.1.9 and 4.2.1.10."""
    _, signer = x509.load_pem_x509_certificates(today.server.read_bytes())
    for one, below_n in ((today.authority, 1), (None, 0)):
        kept = x509.load_pem_x509_certificate(one.read_bytes()) if one else signer
        found = {type(e.value): e for e in kept.extensions}
        assert found[x509.BasicConstraints].critical
        assert found[x509.BasicConstraints].value.path_length == below_n
        assert found[x509.NameConstraints].critical
        assert found[x509.KeyUsage].critical


def certificate_of(path):
    return x509.load_pem_x509_certificates(path.read_bytes())[0]


def test_a_second_start_makes_nothing_new(home):
    first = certified(home, NAMES, NOW)
    before = [first.server.read_bytes(), first.authority.read_bytes()]
    again = certified(home, NAMES, NOW + timedelta(days=1))
    assert (first.is_new, again.is_new) == (True, False)
    assert [again.server.read_bytes(), again.authority.read_bytes()] == before


def test_the_server_is_renewed_in_time_and_phones_notice_nothing(home):
    first = certified(home, NAMES, NOW)
    ends = certificate_of(first.server).not_valid_after_utc
    assert ends - certificate_of(first.server).not_valid_before_utc <= APPLES_LIMIT
    at = ends - certificate.RENEWED_BEFORE
    renewed = certified(home, NAMES, at)
    assert not renewed.is_new
    assert certificate_of(renewed.server).not_valid_after_utc > ends
    assert renewed.fingerprint == first.fingerprint


def test_nothing_that_is_served_ends_within_a_month(home):
    """Week by week over eleven years; an authority lasts five at most."""
    made = {}
    for week in range(11 * 52):
        at = NOW + timedelta(weeks=week)
        shown = certified(home, NAMES, at)
        made.setdefault(shown.fingerprint, at)
        ends = min(certificate_of(shown.server).not_valid_after_utc, shown.until)
        assert ends - at > timedelta(days=30)
        assert shown.until - at <= certificate.AUTHORITY_LASTS
    assert len(made) == 3


def test_a_name_less_keeps_the_authority_and_a_name_more_makes_another(home):
    first = certified(home, NAMES, NOW)
    less = certified(home, NAMES[:1], NOW)
    assert not less.is_new
    kept = certificate_of(less.server).extensions
    names = kept.get_extension_for_class(x509.SubjectAlternativeName).value
    assert x509.DNSName("stair.test") not in names
    more = certified(home, (*NAMES, "192.0.2.9"), NOW)
    assert more.is_new
    assert more.fingerprint != first.fingerprint
    assert "192.0.2.9" in more.names


def test_every_address_is_no_name_and_a_name_that_is_none_is_told(home):
    assert "0.0.0.0" not in certified(home, ["0.0.0.0", "Stair.Test"], NOW).names  # noqa: S104
    with pytest.raises(ArbusculaError, match=r"certificate\.name"):
        certified(home, ["a" * 64 + ".test"], NOW)


@pytest.mark.parametrize("name", ["AUTHORITY", "SIGNER", "SERVER"])
def test_a_damaged_file_is_told(home, name):
    shown = certified(home, NAMES, NOW)
    (shown.server.parent / getattr(certificate, name)).write_text("no certificate")
    with pytest.raises(ArbusculaError, match=r"certificate\.damaged"):
        certified(home, NAMES, NOW)


def test_a_signer_of_another_authority_is_not_used(home):
    first = certified(home / "a", NAMES, NOW)
    other = certified(home / "b", NAMES, NOW)
    first.authority.write_bytes(other.authority.read_bytes())
    assert certified(home / "a", NAMES, NOW).is_new


# The server


@pytest.fixture
def served(tmp_path, today):
    served = Served(stair(tmp_path / "desk", trees_n=1), certificate=today.server)
    yield served
    served.stop()


def over_tls(served, *authorities):
    """Return the first line of a reply to who trusts these, and the certificate."""
    context = ssl.create_default_context()
    for path in authorities:
        context.load_verify_locations(path)
    with (
        socket.create_connection(("127.0.0.1", served.port)) as plain,
        context.wrap_socket(plain, server_hostname="127.0.0.1") as safe,
    ):
        safe.sendall(b"GET /round HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        return safe.recv(100).split(b"\r\n")[0], safe.getpeercert(binary_form=True)


def test_a_client_that_trusts_the_authority_gets_the_round(served, today):
    assert over_tls(served, today.authority)[0] == b"HTTP/1.1 200 OK"


def test_a_client_that_does_not_is_gone_before_it_asks(served):
    with pytest.raises(ssl.SSLCertVerificationError):
        over_tls(served)


def test_a_running_server_shows_the_renewed_one_to_whoever_comes(tmp_path):
    now = now_by_the_clock()
    old = certified(tmp_path, NAMES, now - timedelta(days=390))
    served = Served(stair(tmp_path / "desk", trees_n=1), certificate=old.server)
    _, before = over_tls(served, old.authority)
    renewed = certified(tmp_path, NAMES, now)
    served.server.config.ssl.load_cert_chain(renewed.server)
    _, after = over_tls(served, old.authority)
    served.stop()
    assert before != after


def test_what_is_done_again_and_again_ends_with_what_is_done_meanwhile():
    done = []
    with every(0.01, lambda: done.append(1)):
        while len(done) < 3:
            time.sleep(0.01)
    time.sleep(0.05)
    ended_n = len(done)
    time.sleep(0.05)
    assert len(done) == ended_n


# What is told


def test_the_page_of_trust_is_open_to_whoever_knocks_not(tmp_path, today):
    client = client_of(stair(tmp_path / "desk", trees_n=1), is_open=False)
    assert client.get("/trust").status_code == 404
    trusted(client.app, today, PAGE)
    told, page = client.get("/trust.json").json(), client.get("/trust")
    assert told["fingerprint"] == today.fingerprint
    for figure in (told["fingerprint"], *told["names"], told["address"]):
        assert figure in words_of(page.text)
    file = client.get("/authority.crt")
    assert file.headers["content-type"] == "application/x-x509-ca-cert"
    (root,) = x509.load_pem_x509_certificates(file.content)
    assert root.fingerprint(SHA256()).hex(":").upper() == told["fingerprint"]
    assert file.text == told["authority"]


def test_serve_tells_how_it_is_trusted_and_what_to_mind(tmp_path):
    words = ["--host", "192.0.2.7", "--called", "stair.test", "--own-certificate"]
    said, _ = serve(tmp_path, *words, password=PASSWORD)
    assert said.exit_code == 0
    assert "https://stair.test:8710/round" in said.stdout
    assert "https://stair.test:8710/trust" in said.stdout
    shown = certified(tmp_path, NAMES, now_by_the_clock())
    assert not shown.is_new
    assert shown.fingerprint in said.stdout
    for told in (*NAMES, "Keep", "removed"):
        assert told in said.stdout


def test_others_need_a_password_by_https_too(tmp_path):
    said, _ = serve(tmp_path, "--host", "192.0.2.7", "--own-certificate")
    assert said.exit_code == 1
    assert not (tmp_path / certificate.FOLDER).exists()


def test_by_https_the_cookie_goes_by_https_alone(tmp_path):
    desk = stair(tmp_path, trees_n=1)
    doors.keep(desk.home, doors.with_password(doors.Doors(), PASSWORD))
    client = client_of(desk, is_open=False)
    for base, safe in (("https", True), ("http", False)):
        reply = client.post(
            f"{base}://127.0.0.1:8710/door", data={"password": PASSWORD}
        )
        assert ("secure" in reply.headers["set-cookie"].lower()) is safe


def test_an_address_of_many_colons_stands_in_brackets():
    assert address("https", "fd00::7", 8710, "/trust") == "https://[fd00::7]:8710/trust"
