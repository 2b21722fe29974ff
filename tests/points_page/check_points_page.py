"""Opens the page for tapping points from the disk in headless Chromium and uses it as a person would.

    check_points_page.py MAKE_POINTS_PAGE READ_POINTS_FILE CHROMEDRIVER CHROMIUM FOLDER

What the page hands out is read back by the library's own reader of points.toml. Screenshots at phone,
tablet and desktop size are left in FOLDER. Sources: W3C WebDriver for the browser; WCAG 2.1 for
contrast and for what has a name (4.1.2).
"""

import os
import subprocess
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from browser import (  # noqa: E402
    DESKTOP, PHONE, Storageless, check, looks,
    names_no_network, open_alone, stays_silent, text, verdict)

TABLET = (820, 1180)
# Shares of a photo's width and height.
SPOTS = [(0.4, 0.4), (0.6, 0.42), (0.58, 0.6), (0.42, 0.62), (0.5, 0.5)]
ENTER, BACKSPACE, RIGHT, DOWN = "\ue007", "\ue003", "\ue014", "\ue015"


def tap(browser, side, share, kind="touch"):
    """A finger's tap at a share of the photo, which has to be in view; where it was, in its px."""
    where = browser.run("""
const stage = document.getElementById(arguments[0] + '-stage');
stage.scrollIntoView({block: 'center'});
const picture = stage.querySelector('.picture:not([hidden])');
const box = picture.getBoundingClientRect();
return [box.left, box.top, box.width, box.height, Number(picture.dataset.width)];
""", side)
    x = round(where[0] + share[0] * where[2])
    y = round(where[1] + share[1] * where[3])
    browser.call("POST", "/actions", {"actions": [{
        "type": "pointer", "id": kind, "parameters": {"pointerType": kind},
        "actions": [{"type": "pointerMove", "duration": 0, "x": x, "y": y},
                    {"type": "pointerDown", "button": 0}, {"type": "pointerUp", "button": 0}]}]})
    scale = where[4] / where[2]
    return (x - where[0]) * scale, (y - where[1]) * scale


def toml(browser):
    return browser.run("return document.getElementById('toml').value")


def read_back(reader, content, folder):
    path = os.path.join(folder, "points.toml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(content)
    lines = subprocess.run([reader, path], check=True, capture_output=True, text=True).stdout.splitlines()
    return lines[0], [[float(v) for v in line.split()] for line in lines[1:]]


def use(browser, page, reader, folder):
    open_alone(browser, page, "main script, main b b")
    check(text(browser, "#status") == "0 points of at least 4.", "no point at first")
    check(browser.run("return document.getElementById('copy').disabled"), "and nothing to copy")

    # Taps, in both photos in turn.
    tapped = []
    for share in SPOTS[:3]:
        tapped.append(tap(browser, "before", share) + tap(browser, "after", share))
    check(text(browser, "#status") == "3 points of at least 4.", "three points: " + text(browser, "#status"))
    check(toml(browser) == "", "three are too few to hand out")
    first = tap(browser, "before", SPOTS[4])
    check("Now tap number 4 in the photo after" in text(browser, "#status"), "says which photo is next")
    check(browser.run("return document.querySelectorAll('#before-stage .mark.alone').length") == 1,
          "a spot without its partner looks different")
    moved = tap(browser, "before", SPOTS[3])
    check(moved != first and browser.run("return document.querySelectorAll('#before-stage .mark').length") == 4,
          "a second tap moves it")
    tapped.append(moved + tap(browser, "after", SPOTS[3], "mouse"))
    check(text(browser, "#status") == "4 points.", "four points")

    names, points = read_back(reader, toml(browser), folder)
    check(names == "drawn-1.jpg | covered-1.jpg", "the two photos are named: " + names)
    due = [[b * 2.5 for b in p[:2]] + [a * 3.0 for a in p[2:]] for p in tapped]
    off = max(abs(a - b) for p, q in zip(points, due) for a, b in zip(p, q))
    check(len(points) == 4 and off <= 0.06, f"the library reads the spots as they were tapped: {off:.3f} px off")

    # Copied, and saved as a file.
    browser.click("#copy")
    time.sleep(0.2)
    check(text(browser, "#copied") == "Copied.", "copied: " + text(browser, "#copied"))
    saved = browser.run("""
const link = document.getElementById('save');
return [link.download, link.href.slice(0, 5), !link.hidden];
""")
    check(saved == ["points.toml", "blob:", True], f"can be saved: {saved}")
    looks(browser, folder, "points-desktop", DESKTOP)

    # Undo, removing one, and what is kept.
    browser.click("#undo")
    check("Now tap number 4 in the photo after" in text(browser, "#status"), "undo takes the last tap back")
    browser.click("#undo")
    check(text(browser, "#status") == "3 points of at least 4.", "and the one before it")
    browser.click("#removers button:first-child")
    check(text(browser, "#status") == "2 points of at least 4.", "a point is taken back by its number")
    browser.open("file://" + page)
    check(text(browser, "#status") == "2 points of at least 4.", "points are there after a reload")
    browser.click("#undo")
    check("2 in the photo after" in text(browser, "#status"), "and can be taken back there")
    browser.click("#undo")
    browser.click("#undo")
    browser.click("#undo")
    check(text(browser, "#status") == "0 points of at least 4." and
          browser.run("return document.getElementById('undo').disabled"), "down to none")

    # Zoom: a spot tapped large is the spot tapped small.
    small = browser.run("return document.querySelector('#before-stage .picture').offsetWidth")
    for _ in range(3):
        browser.click("#before-larger")
    large = browser.run("return document.querySelector('#before-stage .picture').offsetWidth")
    check(large > 3 * small, f"zoom makes it larger: {small} to {large}")
    zoomed = tap(browser, "before", (0.5, 0.5))
    check(abs(zoomed[0] - 600) < 2 and abs(zoomed[1] - 450) < 2, f"the middle stays in view: {zoomed}")
    browser.click("#before-whole")
    mark = browser.run("""
const circle = document.querySelector('#before-stage .mark circle');
return [Number(circle.getAttribute('cx')), Number(circle.getAttribute('cy'))];
""")
    check(abs(mark[0] - zoomed[0]) < 0.5 and abs(mark[1] - zoomed[1]) < 0.5, f"and its mark there: {mark}")
    browser.click("#undo")

    # By keys alone.
    for share in range(4):
        for side in ("before", "after"):
            stage = f"#{side}-stage"
            browser.run("document.querySelector(arguments[0]).focus()", stage)
            browser.keys(stage, RIGHT + RIGHT * (3 * share) + DOWN * (2 * (share % 2)) + ENTER)
    check(text(browser, "#status") == "4 points.", "keys set points: " + text(browser, "#status"))
    _, points = read_back(reader, toml(browser), folder)
    check(len({tuple(p[:2]) for p in points}) == 4, f"each in its place: {points}")
    browser.keys("#after-stage", BACKSPACE)
    check("Now tap number 4 in the photo after" in text(browser, "#status"), "Backspace takes one back")
    large = browser.run("return document.querySelector('#after-stage .picture').offsetWidth")
    browser.keys("#after-stage", "+")
    check(browser.run("return document.querySelector('#after-stage .picture').offsetWidth") > 1.3 * large,
          "plus zooms")
    browser.keys("#after-stage", "-")

    # Another photo: points of its own.
    browser.run("const s = document.getElementById('before-photo'); s.value = '1';"
                "s.dispatchEvent(new Event('change'))")
    check(text(browser, "#status") == "0 points of at least 4.", "other photos have points of their own")
    for share in SPOTS:
        tap(browser, "before", share)
        tap(browser, "after", share)
    names, points = read_back(reader, toml(browser), folder)
    check(names == "drawn <b>2 \"b.jpg | covered-1.jpg" and len(points) == 5,
          "only pairs with enough points are handed out: " + names)

    browser.size(TABLET)
    time.sleep(0.3)
    looks(browser, folder, "points-tablet", TABLET)
    browser.size(PHONE)
    time.sleep(0.3)
    looks(browser, folder, "points-phone", PHONE)

    # Where the browser keeps nothing the page works all the same, and says so.
    with Storageless(browser):
        browser.size(DESKTOP)
        browser.open("file://" + page)
        check(not browser.run("return document.getElementById('forgetful').hidden"), "says that nothing is kept")
        for share in SPOTS[:4]:
            tap(browser, "before", share)
            tap(browser, "after", share)
        check(text(browser, "#status") == "4 points.", "points work until it is closed")
    stays_silent(browser)


def main():
    maker, reader, driver, chromium, folder = sys.argv[1:6]
    os.makedirs(folder, exist_ok=True)
    page = os.path.realpath(os.path.join(folder, "points.html"))
    subprocess.run([maker, page], check=True)
    names_no_network(page)
    return verdict(driver, chromium, lambda browser: use(browser, page, reader, folder))


if __name__ == "__main__":
    sys.exit(main())
