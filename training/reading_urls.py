"""Addresses of the modules; each also has the address that Wagtail gives its page."""

from django.urls import path

from training import reading_pages

urlpatterns = [
    path("", reading_pages.module_index, name="module_index"),
    path("<str:slug>/", reading_pages.module, name="module"),
    path("<int:pk>/steps/", reading_pages.read_steps, name="read_steps"),
    path(
        "<int:pk>/answers/<uuid:question>/", reading_pages.answer_question, name="answer_question"
    ),
]
