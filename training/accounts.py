"""Signing in, by name and password or by passkey. The house enters its people; none sign up."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm
from django import forms
from django.utils.translation import gettext_lazy as _

from training.security import SHARED_TABLET


class HouseAdapter(DefaultAccountAdapter):
    """Nobody signs up: the owner enters people, so that every record has a known hand."""

    def is_open_for_signup(self, request):
        return False


class SignInForm(LoginForm):
    """The sign-in form, with the choice that matters on a kitchen tablet."""

    shared_tablet = forms.BooleanField(
        required=False,
        label=_("Several people use this tablet"),
        help_text=_("It signs out by itself when nobody has touched it for a while."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["login"].label = _("Your sign-in name")
        # Few cooks have an email address here: the page itself says what to do.
        self.fields["password"].help_text = ""
        # A kitchen tablet must not stay signed in by a forgotten tick: the safe way is the default.
        self.fields.pop("remember", None)
        for field in self.fields.values():
            field.widget.attrs.pop("placeholder", None)

    def login(self, request, redirect_url=None):
        response = super().login(request, redirect_url=redirect_url)
        request.session[SHARED_TABLET] = self.cleaned_data["shared_tablet"]
        return response


class AddPasskeyForm(AddWebAuthnForm):
    """A new passkey, which signs in alone unless the person wants it as a second step only."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].label = _("Name of the device")
        self.fields["name"].help_text = _("For example: my phone.")
        self.fields["passwordless"].label = _("Sign in with it alone")
        self.fields["passwordless"].help_text = _(
            "Without name and password. Untick it to be asked for it after your password."
        )
        self.fields["passwordless"].initial = True
