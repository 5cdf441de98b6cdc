"""An admin writes the library in a browser; what the browser itself recorded is played by it again."""

from __future__ import annotations

import base64

from playwright.sync_api import Page, expect

PAGE = "/library/hip_turns_seated/"
RECORD = """async () => {
  const canvas = document.createElement("canvas");
  canvas.width = 320; canvas.height = 240;
  const pen = canvas.getContext("2d"), parts = [];
  const recorder = new MediaRecorder(canvas.captureStream(20), { mimeType: "video/webm" });
  recorder.ondataavailable = (event) => parts.push(event.data);
  const stopped = new Promise((done) => { recorder.onstop = done; });
  recorder.start();
  for (let step = 0; step < 30; step += 1) {
    pen.fillStyle = `hsl(${step * 12} 60% 50%)`;
    pen.fillRect(0, 0, 320, 240);
    await new Promise((done) => setTimeout(done, 40));
  }
  recorder.stop();
  await stopped;
  const bytes = new Uint8Array(await new Blob(parts).arrayBuffer());
  let text = "";
  bytes.forEach((byte) => { text += String.fromCharCode(byte); });
  return [btoa(text), ...["image/jpeg", "image/webp", "image/png"].map((type) => canvas.toDataURL(type).split(",")[1])];
}"""
SIZES = "() => [...document.images].map((one) => (one.loading = 'eager', one.decode().then(() => one.naturalWidth)))"
PLAYED = """async (video) => {
  video.muted = true;
  await video.play();
  await new Promise((done) => video.addEventListener("timeupdate", () => video.currentTime > 0.2 && done()));
  return video.videoWidth;
}"""


def add(page: Page, name: str, data: bytes, told: str) -> None:
    page.get_by_role("link", name="Add a picture or a video").click()
    page.get_by_label("Picture or video").set_input_files({"name": name, "mimeType": "image/png", "buffer": data})
    page.get_by_label("What it shows").fill(told)
    page.get_by_role("button", name="Add it").click()


def test_what_a_browser_recorded_is_kept_and_played(sign_in):
    """Its live WebM, JPEG, WebP and PNG, made and shown by Chromium, pass through our taking apart."""
    page = sign_in("admin", PAGE)
    film, *pictures = (base64.b64decode(one) for one in page.evaluate(RECORD))
    add(page, "film.webm", film, "A square that changes its colour")
    expect(page.get_by_text("The video is there.")).to_be_visible()
    for number, picture in enumerate(pictures):
        add(page, "picture.html", picture, f"A square, number {number}")
        expect(page.get_by_text("The picture is there.")).to_be_visible()
    assert page.locator("video").evaluate(PLAYED) == 320
    assert page.evaluate(f"async () => Promise.all(({SIZES})())") == [320, 320, 320]
    page.get_by_role("button", name="Take away: A square that changes its colour").click()
    expect(page.locator("video")).to_have_count(0)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("video")).to_have_count(1)


def test_a_change_by_keyboard_stands_in_the_history_and_is_undone(sign_in, complaints):
    page = sign_in("admin", f"{PAGE}change/")
    page.get_by_label("Name").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("Hip turns on the floor")
    page.get_by_label("Cautions").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("Mind the floor.")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Save as a new version").press("Enter")
    expect(page.locator("form").get_by_text("It does not say when to stop.")).to_be_visible()
    expect(page.get_by_label("Name")).to_have_value("Hip turns on the floor")
    complaints.heard = [one for one in complaints.heard if "422" not in one]  # the browser writes of every refusal
    page.get_by_label("Cautions").fill("Stop when the groin pinches.")
    page.get_by_role("button", name="Save as a new version").press("Enter")
    expect(page.get_by_role("heading", name="Hip turns on the floor")).to_be_visible()
    expect(page.locator(".versions > li").first).to_contain_text("Name: “Hip turns on the floor”, before")
    page.get_by_role("button", name="Undo").press("Enter")
    expect(page.get_by_role("heading", level=1)).not_to_contain_text("on the floor")
    expect(page.locator(".versions > li")).to_have_count(3)
