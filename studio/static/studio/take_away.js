// Takes one tube off the wheel and shows at once what falls away. Each link carries the shape and the words; without
// this script it leads to the same page, drawn by the server.

const shape = document.querySelector("[data-fallen-shown]");
const words = document.querySelector("[data-off-words]");
const links = [...document.querySelectorAll("a[data-fallen]")];
const whole = new URL(document.querySelector("script[data-whole]").dataset.whole, location.href);
const drops = [...document.querySelectorAll(".wheel-over a[data-number]")];
const putAllBack = document.querySelector("a[data-whole]");
let off = links.find((link) => link.hasAttribute("data-off")) ?? null;

function label(link, isOff) {
  const name = document.createElement("span");
  name.className = "unseen";
  name.textContent = ` ${link.dataset.name}`;
  link.replaceChildren(isOff ? "Put back" : "Take away", name);
  link.setAttribute("href", isOff ? whole.href : link.dataset.take);
}

// The drawing may lie above what is seen, so the row says it too.
function say(link) {
  document.querySelector("[data-off-here]")?.remove();
  if (!link) {
    return;
  }
  const here = document.createElement("p");
  here.className = "small";
  here.dataset.offHere = "";
  const way = document.createElement("a");
  way.href = "#drawn";
  way.textContent = "See the drawing";
  here.append(`${link.dataset.words} `, way);
  link.closest("tr").querySelector("[data-label=Where]").append(here);
}

function show(link) {
  if (off) {
    label(off, false);
  }
  off = link;
  if (off) {
    label(off, true);
  }
  shape.setAttribute("d", off ? off.dataset.fallen : "");
  words.textContent = off ? off.dataset.words : "";
  say(off);
  putAllBack?.toggleAttribute("hidden", !off);
  history.replaceState(null, "", off ? off.dataset.take : whole.href);
}

for (const pressed of [...links, ...drops]) {
  const link = links.find((one) => one.dataset.number === pressed.dataset.number);
  pressed.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) {
      return;
    }
    event.preventDefault();
    show(link === off ? null : link);
  });
}

putAllBack?.addEventListener("click", (event) => {
  event.preventDefault();
  show(null);
});
