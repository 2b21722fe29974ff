"""Chromium over W3C WebDriver, and what every page of ours is held against.

Sources: W3C WebDriver for the browser; WCAG 2.1 for contrast (relative luminance, contrast ratio) and
for what has a name (4.1.2).
"""

import base64
import json
import os
import re
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
PHONE, DESKTOP = (390, 844), (1280, 800)

# Text that a person sees, with the ratio to what lies behind it; backgrounds are solid or none.
CONTRAST = """
const channel = (c) => { c /= 255; return c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
const luminance = (c) => 0.2126 * channel(c[0]) + 0.7152 * channel(c[1]) + 0.0722 * channel(c[2]);
const colour = (text) => text.match(/[\\d.]+/g).map(Number);
const behind = (element) => {
  for (let e = element; e; e = e.parentElement) {
    const c = colour(getComputedStyle(e).backgroundColor);
    if (c.length < 4 || c[3] === 1) return c;
    if (c[3] !== 0) throw new Error('half transparent: ' + e.className);
  }
  return [255, 255, 255];
};
const found = [];
for (const e of document.querySelectorAll('body *')) {
  if (e.closest('svg') || !e.checkVisibility()) continue;
  if (![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())) continue;
  if (e.tagName === 'OPTION') continue;
  const a = luminance(colour(getComputedStyle(e).color)), b = luminance(behind(e));
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  found.push([ratio, e.tagName + '.' + e.className + ': ' + e.textContent.trim().slice(0, 30)]);
}
return found.sort((x, y) => x[0] - y[0]);
"""

# Controls without a name, and words wider than the screen.
UNNAMED = """
return [...document.querySelectorAll('button, input, select')].filter((e) =>
  !(e.getAttribute('aria-label') || e.closest('label') || e.textContent.trim())).map((e) => e.id);
"""
OVERFLOW = """
const wide = document.documentElement.clientWidth;
return [...document.querySelectorAll('body *')].filter((e) => e.checkVisibility() &&
  !e.closest('.stage') && !e.closest('.frame') && !e.closest('.ruler') &&
  e.getBoundingClientRect().right > wide + 1).map((e) => e.tagName + '.' + e.className);
"""


class Browser:
    def __init__(self, driver, chromium, profile):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.driver = subprocess.Popen([driver, f"--port={port}"], stdout=subprocess.DEVNULL)
        self.base = f"http://127.0.0.1:{port}/session"
        options = {
            "binary": chromium,
            "args": ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                     "--hide-scrollbars", f"--user-data-dir={profile}"],
            "perfLoggingPrefs": {"enableNetwork": True},
        }
        capabilities = {"alwaysMatch": {
            "browserName": "chrome", "goog:chromeOptions": options,
            "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"}}}
        for _ in range(100):
            try:
                answer = self.call("POST", "", {"capabilities": capabilities})
                break
            except OSError:
                time.sleep(0.1)
        else:
            raise RuntimeError("the driver does not answer")
        self.base += "/" + answer["sessionId"]

    def call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.base + path, data, {"Content-Type": "application/json"},
                                         method=method)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise RuntimeError(json.load(error)["value"]["message"]) from error

    def close(self):
        try:
            self.call("DELETE", "")
        finally:
            self.driver.terminate()
            self.driver.wait()

    def run(self, script, *args):
        return self.call("POST", "/execute/sync", {"script": script, "args": list(args)})

    def open(self, url):
        self.call("POST", "/url", {"url": url})

    def find(self, selector):
        return self.call("POST", "/element", {"using": "css selector", "value": selector})[ELEMENT]

    def click(self, selector):
        self.run("document.querySelector(arguments[0]).scrollIntoView({block: 'center'})", selector)
        self.call("POST", f"/element/{self.find(selector)}/click", {})

    def keys(self, selector, text):
        self.call("POST", f"/element/{self.find(selector)}/value", {"text": text})

    def size(self, size):
        self.call("POST", "/goog/cdp/execute",
                  {"cmd": "Emulation.setDeviceMetricsOverride",
                   "params": {"width": size[0], "height": size[1], "deviceScaleFactor": 1,
                              "mobile": False}})

    def picture(self, path):
        with open(path, "wb") as file:
            file.write(base64.b64decode(self.call("GET", "/screenshot")))

    def log(self, kind):
        return self.call("POST", "/se/log", {"type": kind})


failures = []


def check(holds, words):
    print(("ok      " if holds else "WRONG   ") + words)
    if not holds:
        failures.append(words)


def text(browser, selector):
    return browser.run("return document.querySelector(arguments[0]).textContent.trim()", selector)


def names_no_network(page):
    """Nothing that a browser would fetch; names of XML namespaces are never fetched."""
    with open(page, encoding="utf-8") as file:
        source = file.read()
    outside = [u for u in re.findall(r"(?:https?:)?//[\w.-]+\.\w+", re.sub(r"base64,[\w+/=]*", "", source))
               if u != "http://www.w3.org"]
    check(outside == [], f"names no place on any network: {outside[:3]}")


def open_alone(browser, page, harmless="main script"):
    """Opens a page from the disk: it asks for nothing else, and no name from a file became `harmless`."""
    browser.size(DESKTOP)
    browser.open("about:blank")
    time.sleep(0.3)
    browser.log("performance")  # of the browser's own first page
    browser.open("file://" + page)
    requests = [json.loads(entry["message"])["message"] for entry in browser.log("performance")]
    asked = [r["params"]["request"]["url"] for r in requests if r["method"] == "Network.requestWillBeSent"]
    asked = [url for url in asked if not url.startswith("data:")]
    check(asked == ["file://" + page], f"asks for nothing but itself: {[u[:80] for u in asked]}")
    check(browser.run("return window.harmed === undefined && !document.querySelector(arguments[0])", harmless),
          "names from files do nothing")
    check(browser.run(UNNAMED) == [], "every control has a name")
    check(browser.run("return document.documentElement.lang") == "en", "the language is told")


class Storageless:
    """Pages opened meanwhile find a browser that keeps nothing for them."""

    BLOCKED = ("Object.defineProperty(window, 'localStorage',"
               "{get() { throw new DOMException('blocked', 'SecurityError'); }})")

    def __init__(self, browser):
        self.browser = browser

    def __enter__(self):
        self.added = self.browser.call("POST", "/goog/cdp/execute",
                                       {"cmd": "Page.addScriptToEvaluateOnNewDocument",
                                        "params": {"source": self.BLOCKED}})

    def __exit__(self, *_):
        self.browser.call("POST", "/goog/cdp/execute",
                          {"cmd": "Page.removeScriptToEvaluateOnNewDocument",
                           "params": {"identifier": self.added["identifier"]}})


def stays_silent(browser):
    said = browser.log("browser")
    check(said == [], f"the console stays silent: {[entry['message'] for entry in said][:3]}")


def verdict(driver, chromium, use):
    """Uses a browser of its own; the exit code of the check."""
    with tempfile.TemporaryDirectory() as profile:
        browser = Browser(driver, chromium, profile)
        try:
            use(browser)
        finally:
            browser.close()
    print(f"{len(failures)} wrong" if failures else "all as it should be")
    return 1 if failures else 0


def looks(browser, folder, name, size):
    browser.size(size)
    browser.run("scrollTo(0, 0)")
    time.sleep(0.4)
    browser.picture(os.path.join(folder, name + ".png"))
    ratios = browser.run(CONTRAST)
    check(ratios and ratios[0][0] >= 4.5, f"{name}: least contrast {ratios[0][0]:.2f} ({ratios[0][1]})")
    check(browser.run(OVERFLOW) == [], f"{name}: nothing wider than the screen "
                                       f"{browser.run(OVERFLOW)[:5]}")
