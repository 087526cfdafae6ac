"""Addresses beside the modules: search, words, what went wrong, what comes back, prints."""

from django.urls import path

from training import print_pages, reading_pages

urlpatterns = [
    path("wall/<str:slug>/", print_pages.wall, name="wall"),
    path("labels/", print_pages.labels, name="labels"),
    path("drawings/", print_pages.contact_sheet, name="contact_sheet"),
    path("search/", reading_pages.search_modules, name="search"),
    path("words/", reading_pages.words, name="words"),
    path("went-wrong/", reading_pages.went_wrong, name="went_wrong"),
    path("went-wrong/<slug:sign>/", reading_pages.went_wrong_sign, name="went_wrong_sign"),
    path("again/", reading_pages.questions_again, name="questions_again"),
]
