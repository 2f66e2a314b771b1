// Tapping the corners of the card in its photo fills the four fields; the fields work without it.
const ns = "http://www.w3.org/2000/svg";

for (const box of document.querySelectorAll("[data-corners]")) {
  const form = box.closest("form");
  const file = form.querySelector("input[type=file]");
  const fields = [1, 2, 3, 4].map((number) => form.elements[`corner_${number}`]);

  file.addEventListener("change", () => {
    const chosen = file.files[0];
    if (!chosen) return;
    const reader = new FileReader();
    reader.addEventListener("load", () => {
      const photo = new Image();
      photo.addEventListener("load", () => show(photo));
      photo.src = reader.result;
    });
    reader.readAsDataURL(chosen);
  });

  function show(photo) {
    box.querySelector("svg")?.remove();
    const svg = document.createElementNS(ns, "svg");
    // As wide as a thousand, whatever the photo: the marks are as large on each.
    const height = (1000 * photo.naturalHeight) / photo.naturalWidth;
    svg.setAttribute("viewBox", `0 0 1000 ${height}`);
    svg.setAttribute("aria-hidden", "true");
    const image = document.createElementNS(ns, "image");
    image.setAttribute("href", photo.src);
    image.setAttribute("width", 1000);
    image.setAttribute("height", height);
    svg.append(image);
    const marks = document.createElementNS(ns, "g");
    svg.append(marks);
    box.append(svg);
    box.hidden = false;
    let next = 0;
    svg.addEventListener("click", (event) => {
      const frame = svg.getBoundingClientRect();
      const x = (event.clientX - frame.left) / frame.width;
      const y = (event.clientY - frame.top) / frame.height;
      if (next === 4) {
        next = 0;
        marks.replaceChildren();
      }
      fields[next].value = `${x.toFixed(4)}, ${y.toFixed(4)}`;
      next += 1;
      const ring = document.createElementNS(ns, "circle");
      ring.setAttribute("cx", 1000 * x);
      ring.setAttribute("cy", height * y);
      ring.setAttribute("r", 16);
      const number = document.createElementNS(ns, "text");
      number.setAttribute("x", 1000 * x + 20);
      number.setAttribute("y", height * y - 14);
      number.setAttribute("font-size", 44);
      number.textContent = next;
      marks.append(ring, number);
    });
  }
}
