"""Addresses of practice, evidence and readiness."""

from django.urls import path

from assessments.pages import (
    batches,
    card,
    cooks,
    evidence,
    imports,
    photographs,
    readiness,
    results,
    sign_off,
    today,
    trials,
)

app_name = "assessments"
urlpatterns = [
    path("", today.today, name="today"),
    path("batches/", batches.batch_list, name="batches"),
    path("batches/new/", batches.new_batch, name="new_batch"),
    path("batches/<int:pk>/", batches.batch, name="batch"),
    path("batches/<int:pk>/stages/<int:position>/", batches.stage, name="stage"),
    path("batches/<int:pk>/stages/<int:position>/timer/", batches.timer, name="timer"),
    path("batches/<int:pk>/finish/", batches.finish, name="finish_batch"),
    path("batches/<int:pk>/give-up/", batches.give_up, name="give_up_batch"),
    path("batches/<int:pk>/result/", results.result, name="result"),
    path("batches/<int:pk>/review/", evidence.review, name="review_batch"),
    path("photographs/<int:pk>/", photographs.photograph, name="photograph"),
    path("photographs/<int:pk>/state/", photographs.state, name="photograph_state"),
    path("photographs/<int:pk>/<slug:use>.webp", photographs.picture, name="photograph_picture"),
    path("waiting/", evidence.waiting, name="waiting"),
    path("cooks/", cooks.cook_list, name="cooks"),
    path("cooks/<int:pk>/", cooks.cook, name="cook"),
    path("cooks/<int:pk>/<slug:style>/", evidence.evidence, name="evidence"),
    path("practices/<int:pk>/observe/", sign_off.observe, name="observe"),
    path("practices/<int:pk>/sign-off/", sign_off.sign, name="sign_off"),
    path("sign-offs/<int:pk>/", sign_off.record, name="sign_off_record"),
    path("sign-offs/<int:pk>/withdraw/", sign_off.withdraw, name="withdraw"),
    path("readiness/", readiness.board, name="readiness"),
    path("readiness.csv", readiness.board_csv, name="readiness_csv"),
    path("readiness/<slug:branch>/", readiness.branch, name="readiness_branch"),
    path("card/", card.card, name="card"),
    path("card/<slug:paper>.pdf", card.card_pdf, name="card_pdf"),
    path("trials/", trials.trials, name="trials"),
    path("trials/new/", trials.new_trial, name="new_trial"),
    path("trials/<int:pk>/", trials.trial, name="trial"),
    path("trials/<int:pk>/caliper/<int:number>/", trials.caliper, name="trial_caliper"),
    path("import/", imports.import_readings, name="import_readings"),
    path("import/example.csv", imports.example, name="import_example"),
]
