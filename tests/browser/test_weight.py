"""How much a trainee's phone has to fetch, as it travels: compressed, headers included."""

from django.urls import reverse

from tests.addresses import address, fill
from tests.test_permissions import TABLE
from training.curriculum_pages import load_curriculum

FIRST_VISIT_BYTES = 120_000
NEXT_VISIT_BYTES = 20_000

# A file to be kept is no page.
FILES = {
    "assessments:import_example",
    "assessments:card_pdf",
    "assessments:photograph_state",
    "assessments:photograph_picture",
}
PAGES = [
    name
    for name, way, cells in TABLE
    if way == "GET" and cells.split()[1] == "ok" and name not in FILES
]


def transferred(page, path, until="networkidle"):
    """Return the bytes that opening ``path`` brings over the network."""
    network = page.context.new_cdp_session(page)
    network.send("Network.enable")
    sizes = []
    network.on("Network.loadingFinished", lambda event: sizes.append(event["encodedDataLength"]))
    page.goto(path, wait_until=until)
    network.detach()
    assert sizes
    return round(sum(sizes))


def test_pages_are_light(context_of, house):
    fill(house)
    paths = [address(name, house) for name in PAGES]
    stages = range(2, 9)
    paths += [reverse("assessments:stage", args=[house.open_batch.pk, n]) for n in stages]
    # One stands for all here: each is weighed in test_paint.py, the heaviest with all drawings.
    paths.append(load_curriculum()[0].address)
    heavy = []
    for path in paths:
        context = context_of(house.cook)
        page = context.new_page()
        first = transferred(page, path)
        again = transferred(page, path, until="load")
        context.close()
        print(f"{first / 1000:7.1f} kB {again / 1000:6.1f} kB  {path}")
        if first > FIRST_VISIT_BYTES or again > NEXT_VISIT_BYTES:
            heavy.append(f"{path}: first {first} bytes, next {again} bytes")
    assert heavy == []
    assert len(paths) > len(PAGES)
