"""Opens the page for the bench from the disk in headless Chromium and uses it as a person would.

    check_bench_page.py MAKE_BENCH_PAGE CHROMEDRIVER CHROMIUM FOLDER [PAGE.html]

Screenshots at phone and desktop size are left in FOLDER. Sources: W3C WebDriver for the browser;
WCAG 2.1 for contrast (relative luminance, contrast ratio) and for what has a name (4.1.2).
"""

import os
import shutil
import subprocess
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from browser import (  # noqa: E402
    DESKTOP, PHONE, Storageless, check, looks,
    names_no_network, open_alone, stays_silent, text, verdict)


def use(browser, page, folder):
    open_alone(browser, page)
    looks(browser, folder, "desktop", DESKTOP)

    # Before and after, lines, mirror, zoom.
    clip = "return getComputedStyle(document.querySelector('.picture:not([hidden]) .before')).clipPath"
    half = browser.run(clip)
    browser.run("document.getElementById('wipe').focus()")
    browser.keys("#wipe", "\ue011")  # Home
    check(browser.run("return document.getElementById('wipe').value") == "0" and browser.run(clip) != half,
          "the slider moves by key and shows another share")
    browser.keys("#wipe", "\ue010")  # End
    lit = "return getComputedStyle(document.querySelector('.picture:not([hidden]) .layer')).display"
    check(browser.run(lit) != "none", "lines show")
    browser.click("#lines")
    check(browser.run(lit) == "none", "lines go")
    browser.click("#lines")
    shown = "return getComputedStyle(document.querySelector('.picture:not([hidden]) .open')).display"
    check(browser.run(shown) == "none", "lines still seen are left out at first")
    browser.click("#open")
    check(browser.run(shown) != "none", "and shown when asked for")
    browser.click("#mirror")
    check("-1" in browser.run("return getComputedStyle(document.querySelector('.picture')).transform"),
          "the photo is mirrored")
    browser.click("#mirror")
    wide = "return document.querySelector('.picture:not([hidden])').offsetWidth"
    small = browser.run(wide)
    browser.click("#larger")
    check(browser.run(wide) > 1.4 * small, "zoom makes it larger")
    browser.keys("#stage", "+")
    check(browser.run(wide) > 2.1 * small, "plus does too")
    browser.click("#whole")
    check(browser.run(wide) == small, "the whole photo comes back")
    views = browser.run("return document.querySelectorAll('#view option').length")
    browser.run("const v = document.getElementById('view'); v.value = arguments[0];"
                "v.dispatchEvent(new Event('change'))", str(views - 1))
    check(browser.run("return document.querySelectorAll('.picture:not([hidden])').length") == 1,
          "one view at a time")

    # From number to number, and ticks that stay.
    numbers = browser.run("return [...document.querySelectorAll('#numbers button')].map(b => b.dataset.number)")
    browser.click("#numbers li:first-child button")
    check(text(browser, "#now").startswith(numbers[0] + " "), "a number is chosen by its button")
    browser.click("#next")
    check(text(browser, "#now").startswith(numbers[1] + " "), "the next one comes after it")
    browser.click("#earlier")
    browser.keys("#done", " ")
    check(text(browser, "#progress").startswith("1 of "), "a tick by key is counted: "
          + text(browser, "#progress"))
    browser.open("file://" + page)
    check(text(browser, "#progress").startswith("1 of "), "and is there after a reload")
    check(text(browser, "#now").startswith(numbers[1] + " "), "which begins where work is left")
    badge = "return document.querySelector('.badge.here') !== null"
    check(browser.run(badge), "the chosen number is marked on the photo")
    lost = browser.run("const b = document.querySelector('#numbers .missing');"
                       "if (!b) return null; b.click(); return b.dataset.number")
    if lost is not None:
        check(browser.run("return document.getElementById('done').disabled"),
              "what was not recovered cannot be ticked")
        looks(browser, folder, "desktop-missing", DESKTOP)

    # True size: the bar is 50 mm by the scale that is set, and drawings follow it.
    browser.click("#numbers li:first-child button")
    browser.run("const s = document.getElementById('scale'); s.value = 5;"
                "s.dispatchEvent(new Event('input'))")
    bar = browser.run("return document.getElementById('bar').getBoundingClientRect().width")
    check(abs(bar - 250) < 0.6, f"the bar is 50 mm at 5 px a mm: {bar}")
    drawn = browser.run("const d = document.querySelector('.detail:not([hidden]) .drawing');"
                        "return [d.getBoundingClientRect().width, Number(d.dataset.width),"
                        "        d.getScreenCTM().a]")
    check(abs(drawn[0] - 5 * drawn[1]) < 0.6 and abs(drawn[2] - 5) < 0.02,
          f"a drawing of {drawn[1]} mm is {drawn[0]:.1f} px wide")
    browser.open("file://" + page)
    check(browser.run("return document.getElementById('scale').value") == "5", "the scale is kept")
    browser.run("const s = document.getElementById('scale'); s.value = 3.78;"
                "s.dispatchEvent(new Event('input'))")
    browser.size(PHONE)
    looks(browser, folder, "phone", PHONE)
    browser.run("document.querySelector('#numbers').scrollIntoView({block: 'start'})")
    time.sleep(0.3)
    browser.picture(os.path.join(folder, "phone-steps.png"))
    browser.run("document.querySelector('.size').scrollIntoView({block: 'start'})")
    time.sleep(0.3)
    browser.picture(os.path.join(folder, "phone-size.png"))

    # Where the browser keeps nothing the page works all the same, and says so.
    with Storageless(browser):
        browser.open("file://" + page)
        check(text(browser, "#progress").startswith("0 of "), "without storage it starts with no ticks")
        check(not browser.run("return document.getElementById('forgetful').hidden"), "and says so")
        browser.keys("#done", " ")
        check(text(browser, "#progress").startswith("1 of "), "ticks work until it is closed")
    stays_silent(browser)


def main():
    maker, driver, chromium, folder = sys.argv[1:5]
    os.makedirs(folder, exist_ok=True)
    page = os.path.realpath(os.path.join(folder, "bench.html"))
    if len(sys.argv) > 5:
        shutil.copy(sys.argv[5], page)
    else:
        subprocess.run([maker, page], check=True)
    names_no_network(page)
    return verdict(driver, chromium, lambda browser: use(browser, page, folder))


if __name__ == "__main__":
    sys.exit(main())
