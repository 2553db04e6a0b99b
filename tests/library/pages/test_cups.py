import re

from sprayout_library.record import Names


def test_a_cup_off_its_mix_is_brought_back_by_the_least_that_does_it(own, built):
    visitor, store = own
    settled = visitor.fill(
        f"/share/answers/{built.kelp.id}",
        {"about": "mix", "shown": " ".join(dots(visitor, built)), "answer": "a"},
    )
    assert settled.status_code == 200
    too_much = {"mix": built.dusk.id, "amount": "50 ml", f"really-{Names(store).find('strong teal').id}": "20 ml"}
    page = visitor.fill("/pour", too_much)
    path = page.url.path
    # 4 : 1 with 40 ml and 20 ml in the cup: 80 ml belong to 20 ml, so 40 ml more
    assert "strong teal sets the total" in page.text and "<strong>40 ml</strong> violet dye" in page.text
    assert "It comes to 100 ml" in page.text
    page = visitor.fill(path, {"do": "added"})
    assert page.url.path != path and "100 ml left" in page.text and "It is as it was meant" in page.text
    assert ">0 ml left" in visitor.get(path).text
    refused = visitor.fill(path, {"do": "take", "take": "5 ml"})
    assert refused.status_code == 422 and "is empty" in refused.text


def dots(visitor, built):
    page = visitor.get(f"/share/answers/{built.kelp.id}").text
    return re.search(r'name="shown" value="([^"]+)"', page)[1].split()


def test_something_is_taken_out_of_a_cup(own, built):
    visitor, _ = own
    path = f"/pour/cup/{built.cup.id}"
    page = visitor.fill(path, {"do": "take", "take": "30 ml", "into": "a jar"})
    assert "80 ml left" in page.text
    assert visitor.fill(path, {"do": "take", "take": "300 ml"}).status_code == 422
    assert "80 ml left" in visitor.get(path).text


def test_more_of_a_cup_is_worked_out_in_its_ratio(own, built):
    visitor, _ = own
    page = visitor.fill("/pour", {"mix": built.dusk.id, "amount": "50 ml"})
    page = visitor.get(page.url.path, params={"wanted": "75 ml"})
    assert "<strong>20 ml</strong> violet dye" in page.text and "<strong>5 ml</strong> strong teal" in page.text
    page = visitor.get(page.url.path, params={"wanted": "75 cats"})
    assert page.status_code == 200 and "Write ml, l, US fl oz or g" in page.text


def test_us_amounts_stand_beside_metric_ones_once_chosen(own, built):
    visitor, _ = own
    path = f"/pour/cup/{built.cup.id}"
    assert "US fl oz" not in visitor.get(path).text.partition("<footer")[0]
    page = visitor.fill("/units", {"units": "us", "back": path})
    assert page.url.path == path
    assert "110 ml (3.72 US fl oz) left" in page.text  # 110 / 29.5735295625 ml, NIST Handbook 44 appendix C
    poured = visitor.get("/pour", params={"mix": built.dusk.id, "amount": "4 US fl oz"})
    assert "94.6 ml (3.2 US fl oz)" in poured.text
    assert "US fl oz" not in visitor.fill("/units", {"units": "metric", "back": path}).text.partition("<footer")[0]
    for away in ("//evil.example/", "https://evil.example/", "/\\evil.example", "/a\r\nb: c"):
        reply = visitor.post(
            "/units", data={"csrf": visitor.alone.csrf, "units": "us", "back": away}, follow_redirects=False
        )
        assert reply.headers["location"] == "/"


def test_labels_of_cups_and_panels_are_shown_and_printed(visitor, made):
    for identity, mark in ((made.cup.id, "C1"), (made.panels["KF-1"].id, "KF-1")):
        page = visitor.get(f"/thing/{identity}/label").text
        assert f'<p class="label-mark">{mark}</p>' in page and "<path d=" in page
        file = visitor.get(f"/thing/{identity}/label/file")
        assert file.content.startswith(b"%PDF-") and file.headers["x-content-type-options"] == "nosniff"
        sheet = visitor.get(f"/thing/{identity}/label/file", params={"sheet": "letter", "used": "3"})
        assert sheet.content.startswith(b"%PDF-") and len(sheet.content) > 500
    assert visitor.get(f"/thing/{made.kelp.id}/label").status_code == 404
    assert visitor.get(f"/thing/{made.cup.id}/label/file", params={"sheet": "a4", "used": "12"}).status_code == 422


def test_the_square_on_a_label_page_says_what_the_printed_one_says(visitor, made):
    import numpy as np
    import zxingcpp

    page = visitor.get(f"/thing/{made.cup.id}/label").text
    side = int(re.search(r'viewBox="0 0 (\d+) \1" role="img" aria-label="Square', page)[1])
    grid = np.full((side, side), 255, dtype=np.uint8)
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1", page):
        grid[int(y), int(x) : int(x) + int(run)] = 0
    (read,) = zxingcpp.read_barcodes(np.kron(grid, np.ones((6, 6), dtype=np.uint8)))
    assert made.cup.id.replace("-", "").upper() in read.text.replace("-", "").upper() or made.cup.id[-6:] in read.text
