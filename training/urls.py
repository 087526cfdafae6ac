"""Addresses of the whole site."""

from django.urls import include, path
from wagtail import urls as wagtail_urls
from wagtail.admin import urls as wagtailadmin_urls
from wagtail.documents import urls as wagtaildocs_urls

from training import account_pages, uploads

urlpatterns = [
    path("sign-in/", include("allauth.urls")),
    path("account/", account_pages.account, name="account"),
    path("account/digest/", account_pages.digest, name="account_digest"),
    path("language/", account_pages.choose_language, name="choose_language"),
    path("cms/", include(wagtailadmin_urls)),
    path("documents/", include(wagtaildocs_urls)),
    path("uploads/<path:path>", uploads.upload, name="upload"),
    path("modules/", include("training.reading_urls")),
    path("learning/", include("training.learning_urls")),
    path("", include("assessments.pages.urls")),
    path("modules/", include(wagtail_urls)),
]
