// Reads a bar code with the camera, where the browser itself can. The field works without this script; the camera is
// asked for on a tap alone, and no picture leaves the page.

const WANTED = ["ean_13", "ean_8", "upc_a", "upc_e", "itf", "qr_code"];
const EVERY = 200; // milliseconds between two looks

const form = document.querySelector("form[data-scan]");
const box = document.querySelector("[data-camera]");
const view = document.querySelector("[data-camera-view]");
const words = document.querySelector("[data-camera-words]");
const start = document.querySelector("[data-camera-start]");
const stop = document.querySelector("[data-camera-stop]");
let stream = null;

async function formats() {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) {
    return [];
  }
  try {
    const known = await window.BarcodeDetector.getSupportedFormats();
    return WANTED.filter((name) => known.includes(name));
  } catch {
    return [];
  }
}

function end(said) {
  stream?.getTracks().forEach((track) => track.stop());
  stream = null;
  view.srcObject = null;
  view.hidden = stop.hidden = true;
  start.hidden = false;
  words.textContent = said;
}

async function look(detector) {
  while (stream) {
    let found = [];
    try {
      found = await detector.detect(view);
    } catch {
      // The picture is not there yet.
    }
    if (stream && found.length) {
      form.elements.code.value = found[0].rawValue;
      end("Read.");
      form.requestSubmit();
      return;
    }
    await new Promise((go) => setTimeout(go, EVERY));
  }
}

async function begin(names) {
  start.hidden = true;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    end("The camera was not allowed or is not there: type the digits under the bars.");
    return;
  }
  view.srcObject = stream;
  view.hidden = stop.hidden = false;
  words.textContent = "Hold the bars or the square before the camera.";
  // It plays once there is a picture; one that ended before says nothing new.
  view.play().catch(() => {});
  look(new window.BarcodeDetector({ formats: names }));
}

const names = await formats();
if (names.length) {
  box.hidden = false;
  words.textContent = "The camera is used for reading alone; no picture is kept or sent.";
  start.addEventListener("click", () => begin(names));
  stop.addEventListener("click", () => end("The camera is off."));
  window.addEventListener("pagehide", () => stream && end("The camera is off."));
} else {
  words.textContent = "This browser cannot read bar codes with the camera: type the digits, or use a hand scanner.";
}
