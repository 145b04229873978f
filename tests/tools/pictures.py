"""Make the pictures that README shows, from fresh builds of demonstration missions::

    python -m tests.tools.pictures            into .pictures/

Needs LibreOffice, pdftoppm, Chromium and chromedriver. Small PNG files of few colours: of the regatta a
contact sheet of the deck, both sides of a card, the ground contact's clock, the head of the review page on a
desktop and on a phone; of the three harbours a card, its sides beside each other.
"""

from __future__ import annotations

import base64
import io
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

from briefgen.build.build import build
from tests.places import REPOSITORY

FOLDER = REPOSITORY / ".pictures"
COLOURS = 128
CHROMIUM = ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--no-first-run")
SCREENS = (  # file of the build, picture, width, height
    ("review.html", "review-desktop", 1280, 1000),
    ("review.html", "review-phone", 390, 844),
    ("ground-clock.html", "ground-clock", 390, 844),
)


def main() -> int:
    """Build, picture, tell what was written; 1 when a program or a product is missing."""
    missing = [
        program
        for program in ("soffice", "pdftoppm", "chromium", "chromedriver")
        if shutil.which(program) is None
    ]
    if missing:
        print(f"pictures: {', '.join(missing)} cannot be found")
        return 1
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as room:
        regatta, harbours = Path(room) / "regatta", Path(room) / "three-harbours"
        for out in (regatta, harbours):
            built = build(REPOSITORY / "missions" / f"{out.name}.yaml", out=out)
            failed = [outcome.name for outcome in built.outcomes if outcome.failure]
            if failed or not built.written:
                print(f"pictures: {', '.join(failed) or out.name} could not be made")
                return 1
        deck_sheet(regatta / "deck.pptx", Path(room))
        for number, side in enumerate(pages(regatta / "kneeboard-1.pdf", Path(room) / "side", 700), 1):
            save(side, f"card-{number}")
        save(beside(pages(harbours / "kneeboard-1.pdf", Path(room) / "of-several", 560)), "card-of-several")
        screens(regatta)
    for path in sorted(FOLDER.glob("*.png")):
        print(f"{path.relative_to(REPOSITORY)}  {path.stat().st_size // 1000} kB")
    return 0


def deck_sheet(deck: Path, room: Path, *, columns: int = 4, width: int = 400, gap: int = 8) -> None:
    """Every slide of the deck on one picture."""
    profile = f"-env:UserInstallation={(room / 'office').as_uri()}"
    subprocess.run(
        ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", room, deck],
        check=True,
        capture_output=True,
    )
    slides = pages(room / "deck.pdf", room / "slide", width)
    height = slides[0].height
    rows = -(-len(slides) // columns)
    sheet = Image.new("RGB", (columns * (width + gap) + gap, rows * (height + gap) + gap), "#C5CCCB")
    for number, slide in enumerate(slides):
        row, column = divmod(number, columns)
        sheet.paste(slide, (gap + column * (width + gap), gap + row * (height + gap)))
    save(sheet, "deck")


def beside(sides: list[Image.Image], gap: int = 8) -> Image.Image:
    """The sides of a card in a row."""
    width, height = sides[0].size
    row = Image.new("RGB", (len(sides) * (width + gap) - gap, height), "#C5CCCB")
    for number, side in enumerate(sides):
        row.paste(side, (number * (width + gap), 0))
    return row


def pages(pdf: Path, stem: Path, width: int) -> list[Image.Image]:
    """The pages of a PDF file, so many pixels wide."""
    subprocess.run(
        ["pdftoppm", "-png", "-scale-to-x", str(width), "-scale-to-y", "-1", pdf, stem], check=True
    )
    return [Image.open(path).convert("RGB") for path in sorted(stem.parent.glob(f"{stem.name}-*.png"))]


def screens(built: Path) -> None:
    """What a browser shows first of each page."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium")
    for argument in CHROMIUM:
        options.add_argument(argument)
    browser = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    try:
        for file, name, width, height in SCREENS:
            size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
            browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
            browser.get((built / file).as_uri())
            data = browser.execute_cdp_cmd("Page.captureScreenshot", {"format": "png"})["data"]
            save(Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB"), name)
    finally:
        browser.quit()


def save(picture: Image.Image, name: str) -> None:
    """With few colours, so that the repository stays small."""
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(FOLDER / f"{name}.png", optimize=True)


if __name__ == "__main__":
    sys.exit(main())
