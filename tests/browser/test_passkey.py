"""A passkey from its adding to its removal, with an authenticator that the browser plays."""

from allauth.mfa.models import Authenticator
from playwright.sync_api import expect

from tests import factories
from tests.browser.conftest import sign_in
from tests.browser.test_accessibility import look, report


def give_fingerprint_reader(page):
    """Let the browser play a device with a fingerprint reader whose owner always agrees."""
    session = page.context.new_cdp_session(page)
    session.send("WebAuthn.enable")
    session.send(
        "WebAuthn.addVirtualAuthenticator",
        {
            "options": {
                "protocol": "ctap2",
                "transport": "internal",
                "hasResidentKey": True,
                "hasUserVerification": True,
                "isUserVerified": True,
                "automaticPresenceSimulation": True,
            }
        },
    )


def test_a_passkey_is_added_signs_in_alone_and_is_removed(page, house):
    findings = []
    give_fingerprint_reader(page)
    sign_in(page, "cook")
    page.goto("/account/")
    page.get_by_role("link", name="Passkeys: sign in by fingerprint, face or PIN").click()
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_label("Password").fill(factories.PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_label("Name of the device").fill("my phone")
    expect(page.get_by_label("Sign in with it alone")).to_be_checked()
    page.get_by_role("button", name="Add a passkey").click()
    page.get_by_text("recovery codes").first.wait_for()
    passkey = Authenticator.objects.get(type=Authenticator.Type.WEBAUTHN)
    assert passkey.user == house.cook
    look(page, findings)
    page.get_by_role("button", name="Sign out").click()

    # As the person's own page says: the password alone no longer signs in.
    page.get_by_label("Your sign-in name").fill("cook")
    page.get_by_label("Password").fill(factories.PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url("**/2fa/authenticate/")
    look(page, findings)
    page.get_by_role("button", name="Use your passkey").click()
    page.get_by_role("button", name="Sign out").click()

    page.get_by_role("button", name="Sign in with a passkey").click()
    page.get_by_role("button", name="Sign out").wait_for()
    page.goto("/sign-in/2fa/webauthn/")
    expect(page.get_by_role("heading", name="my phone")).to_be_visible()
    expect(page.get_by_text("Signs you in alone")).to_be_visible()
    look(page, findings)
    page.get_by_role("link", name="Remove my phone").click()
    page.get_by_label("Password").fill(factories.PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Remove").click()
    expect(page.get_by_text("You have none yet.")).to_be_visible()
    report(findings)
